"""The difference of two means of unequal spread: its degrees of freedom and how likely chance is to make it."""

import math

from benchapp.reduction.ground.distributions import incomplete_beta

_NORMAL_FROM_DOF = 1e6
"""From here on Student's tail is the normal one: the relative error is below 1e-5 for |t| up to 4."""


def effective_dof(one: float, one_dof: float | None, other: float, other_dof: float | None) -> float | None:
    """Return the degrees of freedom of √(one² + other²); None where both are infinite, or there is no spread.

    Welch and Satterthwaite, JCGM 100:2008, G.4.1, kept as a real number. one, other : standard uncertainties.
    """
    total = math.hypot(one, other)
    if total == 0.0:
        return None
    parts = ((one, one_dof), (other, other_dof))
    spread = sum((own / total) ** 4 / dof for own, dof in parts if dof is not None)
    return 1.0 / spread if spread > 0.0 else None


def two_sided_p(t: float, dof: float | None) -> float:
    """Return P(|T| ≥ |t|) for Student's t; dof None means infinite."""
    return 2.0 * upper_p(abs(t), dof)


def upper_p(t: float, dof: float | None) -> float:
    """Return P(T ≥ t) for Student's t: ½ I(ν/(ν + t²); ν/2, ½) above 0 (Abramowitz and Stegun 26.7.1)."""
    if dof is None or dof >= _NORMAL_FROM_DOF:
        return 0.5 * math.erfc(t / math.sqrt(2.0))
    if math.isinf(t):
        return 0.0 if t > 0 else 1.0
    square = t * t
    tail = 0.5 * incomplete_beta(dof / 2.0, 0.5, dof / (dof + square), square / (dof + square))
    return tail if t >= 0 else 1.0 - tail
