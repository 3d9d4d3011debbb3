"""Repeatability: how far the readings of one position, reached from the same side, scatter from stroke to stroke."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchapp.reduction.ground.chi_squared import deviation_interval
from benchapp.reduction.ground.uncertainty import one_step

SHARE_KNOWN = 1.25
"""The share of the pulses' own scatter is known to about a quarter: neighbours are alike in ways a few strokes hide."""

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, slots=True)
class Repeatability:
    """How far strokes differ at one position, [µs].

    us     : pooled standard deviation s_r (usage of ISO 5725) less share_us, by squares; 0 where that leaves nothing
    ci95   : its interval, by chi-squared with dof degrees of freedom, share_us taken out
    share_us : what the single pulses' own scatter, the probe's among it, lets a reading scatter by
    resolved : even at the low end of its interval s_r lies 1.25 times above share_us and a step's share: a stroke of
               even speed can meet every step at the same place, so that a step does not average out
    """

    us: float
    ci95: tuple[float, float]
    share_us: float
    pooled_us: float
    dof: float
    resolved: bool


def repeatability(single: Array, ways: Array, *, share_us: float, step_us: float) -> Repeatability | None:
    """Return what strokes differ by, or None where no position was read twice from the same side.

    single : (strokes, positions), NaN where a stroke has no reading     ways : (strokes,), +1 rising, -1 falling
    """
    off = np.full(single.shape, np.nan)
    free = 0
    for way in (1.0, -1.0):
        these = ways == way
        counts = np.count_nonzero(np.isfinite(single[these]), axis=0)
        sums = np.nansum(single[these], axis=0) if these.any() else np.zeros(single.shape[1])
        off[these] = np.where(counts > 1, single[these] - sums / np.maximum(counts, 1), np.nan)
        free += int(np.sum(counts[counts > 1] - 1))
    if not free:
        return None
    pooled = math.sqrt(float(np.nansum(off**2)) / free)
    dof = _independent(np.nan_to_num(off), free)
    low, high = deviation_interval(pooled, dof)
    return Repeatability(
        us=_less(pooled, share_us),
        ci95=(_less(low, SHARE_KNOWN * share_us), _less(high, share_us / SHARE_KNOWN)),
        share_us=share_us,
        pooled_us=pooled,
        dof=dof,
        resolved=low > SHARE_KNOWN * math.hypot(share_us, one_step(step_us)),
    )


def _less(size: float, share: float) -> float:
    return math.sqrt(max(size * size - share * share, 0.0))


def _independent(off: Array, free: int) -> float:
    """Return the degrees of freedom of the pooled variance: as many positions count as go their own ways.

    A stroke that lies off the others all along is one finding, not fifty. With the positions' covariance Σ, estimated
    with f degrees of freedom each, (tr Σ)²/tr Σ² positions are independent; both traces without bias (Bai and
    Saranadasa, Statistica Sinica 6, 1996, 311; from memory).
    """
    read = np.any(off != 0.0, axis=0)
    positions = max(int(np.count_nonzero(read)), 1)
    each = max(free / positions, 1.0)
    if each < 2.0:
        return each
    products = off @ off.T / each
    whole, squares = float(np.trace(products)) ** 2, float(np.sum(products**2))
    if whole == 0.0:
        return float(free)
    shared = (squares - whole / each) / (1.0 + 1.0 / each - 2.0 / each**2)
    apart = whole - 2.0 * shared / each
    count = positions if shared <= 0.0 or apart <= 0.0 else min(max(apart / shared, 1.0), positions)
    return each * count
