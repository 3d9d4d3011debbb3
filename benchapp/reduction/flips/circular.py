"""How evenly the flips fell over the output frame: tests of phases on a circle of circumference 1."""

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

FEW = 30
"""Below so many flips the tests of phases are read more readily, and a gap less so."""
SMALL_P, SMALL_P_OF_FEW = 0.001, 0.01
"""Below this, evenly spread flips are not believed: one run in a thousand is called locked wrongly. Few flips can
hardly reach it, so that of them one run in a hundred is."""
MOST_GAP, MOST_GAP_OF_FEW = 0.3, 0.4
UNEVEN_P = 0.01
"""A note is worth it where at most one evenly random run in a hundred would get it."""
_STEADY = 12.0


def rayleigh_p(phases: ArrayLike) -> float | None:
    """Return the Rayleigh test's p value for phases spread evenly round the circle; None without phases.

    phases : fractions of the frame, (n,), any order; taken modulo 1
    Within 2 % of the exact law at p = 0.001 from 8 flips on (checked against the integral of Kluyver's walk).
    """
    n, resultant = _resultant(phases)
    if n == 0:
        return None
    safe = _rayleigh_bound(n, resultant)
    series = _rayleigh_series(n, resultant)
    # Far out in the tail of a small sample the series swings, even below zero: there the bound is the better figure.
    return series if safe / 2.0 <= series <= 1.1 * safe else safe


def kuiper_p(phases: ArrayLike) -> float | None:
    """Return Kuiper's test's p value for evenly spread phases; None without phases.

    Stephens' V* = V(√n + 0.155 + 0.24/√n) (Journal of the Royal Statistical Society B 32, 1970, 115) in the
    limiting law 2 Σ (4j²V*² - 1) exp(-2j²V*²).
    """
    ordered = _wrapped(phases)
    if ordered.size == 0:
        return None
    return _kuiper_tail(kuiper_v_star(ordered))


def kuiper_v_star(phases: ArrayLike) -> float:
    """Return Stephens' V* of Kuiper's statistic, which does not depend on where the circle starts."""
    ordered = _wrapped(phases)
    n = ordered.size
    steps = np.arange(1, n + 1) / n
    v = float(np.max(steps - ordered) + np.max(ordered - steps + 1.0 / n))
    return v * (math.sqrt(n) + 0.155 + 0.24 / math.sqrt(n))


def largest_gap(phases: ArrayLike) -> float | None:
    """Return the widest stretch of the circle without a phase, as a fraction; 1 for one phase, None for none."""
    ordered = _wrapped(phases)
    if ordered.size == 0:
        return None
    return float(max(np.max(np.diff(ordered), initial=0.0), 1.0 - (ordered[-1] - ordered[0])))


def uneven(phases: ArrayLike) -> bool:
    """Return whether the widest gap is one that evenly random phases would leave in at most 1 % of runs as long."""
    gap = largest_gap(phases)
    return gap is not None and gap_p(gap, int(np.size(phases))) <= UNEVEN_P


def gap_p(gap: float, n: int) -> float:
    """Return how often n evenly random phases leave a gap on the circle that is wider than this, as a fraction.

    Exact: Σ (-1)^(j+1) C(n, j) (1 - j·gap)^(n-1) over all j with j·gap < 1 (W. L. Stevens, Annals of Eugenics 9, 1939,
    315, from memory; checked by simulation for each length that its test tabulates).
    """
    if gap <= 1.0 / n:
        return 1.0
    total = 0.0
    for j in range(1, min(n, math.ceil(1.0 / gap) - 1) + 1):
        log_term = math.lgamma(n + 1) - math.lgamma(j + 1) - math.lgamma(n - j + 1) + (n - 1) * math.log1p(-j * gap)
        if log_term > _STEADY:
            return 1.0  # far from the tail the terms grow before they shrink, and gaps as wide are the rule
        total += math.exp(log_term) if j % 2 else -math.exp(log_term)
    return min(1.0, max(0.0, total))


def locked_by_gap(gap: float | None, n: int) -> bool:
    """Return whether the widest gap alone says that the flips kept step with the frame (0.3; 0.4 below 30 flips)."""
    return gap is not None and gap > (MOST_GAP if n >= FEW else MOST_GAP_OF_FEW)


def phase_locked(rayleigh: float | None, kuiper: float | None, gap: float | None, n: int) -> bool:
    """Return whether n flips kept step: either p value below 0.001 (0.01 below 30 flips), or too wide a gap."""
    small = SMALL_P if n >= FEW else SMALL_P_OF_FEW
    unlikely = any(p is not None and p < small for p in (rayleigh, kuiper))
    return unlikely or locked_by_gap(gap, n)


def _wrapped(phases: ArrayLike) -> NDArray[np.float64]:
    return np.sort(np.mod(np.asarray(phases, dtype=np.float64), 1.0))


def _resultant(phases: ArrayLike) -> tuple[int, float]:
    """Return the count and the length of the mean resultant vector (0 to 1)."""
    angles = 2.0 * math.pi * np.asarray(phases, dtype=np.float64)
    if angles.size == 0:
        return 0, 0.0
    return angles.size, min(1.0, math.hypot(float(np.mean(np.cos(angles))), float(np.mean(np.sin(angles)))))


def _rayleigh_series(n: int, resultant: float) -> float:
    """Return the p value by the series in 1/n of Greenwood and Durand (Annals of Mathematical Statistics 26, 1955)."""
    z = n * resultant**2
    second = (2.0 * z - z**2) / (4.0 * n)
    third = (24.0 * z - 132.0 * z**2 + 76.0 * z**3 - 9.0 * z**4) / (288.0 * n**2)
    return math.exp(-z) * (1.0 + second - third)


def _rayleigh_bound(n: int, resultant: float) -> float:
    """Return the p value by the closed form in Zar, Biostatistical Analysis, section 27.1: a little high, steady."""
    return min(1.0, math.exp(math.sqrt(1.0 + 4.0 * n + 4.0 * n**2 * (1.0 - resultant**2)) - (1.0 + 2.0 * n)))


def _kuiper_tail(v_star: float) -> float:
    # Below 0.4 the alternating series no longer settles; the law is 1 there to within 1e-9.
    if v_star < 0.4:
        return 1.0
    j = np.arange(1, 51, dtype=np.float64)
    squares = (j * v_star) ** 2
    return float(min(1.0, max(0.0, 2.0 * np.sum((4.0 * squares - 1.0) * np.exp(-2.0 * squares)))))
