"""Quantiles and tail probabilities of the few distributions an interval needs."""

import math
from collections.abc import Callable
from functools import lru_cache

_TINY = 1e-300
_NORMAL_FROM_DOF = 1e4
"""From here on Student's t is expanded around the normal law: the first term left out is below 1e-12 of t."""


def normal_quantile(p: float) -> float:
    """Return z with P(Z <= z) = p for a standard normal Z; -inf at 0 and inf at 1.

    A rational start (Abramowitz and Stegun 26.2.23, absolute error below 4.5e-4) and three Halley steps on erfc.
    Raises ValueError if p lies outside 0 to 1.
    """
    _check_probability(p)
    if p in (0.0, 1.0):
        return math.copysign(math.inf, p - 0.5)
    if p > 0.5:
        return -_lower_normal_quantile(1.0 - p)
    return _lower_normal_quantile(p)


@lru_cache(maxsize=1024)
def student_t_quantile(p: float, dof: float) -> float:
    """Return t with P(T <= t) = p for Student's t of dof degrees of freedom (any real number above 0; inf allowed).

    Relative error below 1e-10 for 1e-6 <= p <= 1 - 1e-6 and dof >= 0.1. Raises ValueError for a p outside 0 to 1
    or a dof that is not above 0.
    """
    _check_probability(p)
    if not dof > 0:
        raise ValueError(f"expected degrees of freedom above 0, got {dof}")
    if p in (0.0, 1.0):
        return math.copysign(math.inf, p - 0.5)
    if p == 0.5:
        return 0.0
    if dof >= _NORMAL_FROM_DOF:
        return _t_near_normal(normal_quantile(p), dof)
    magnitude = _t_magnitude(2.0 * min(p, 1.0 - p), dof)
    return math.copysign(magnitude, p - 0.5)


def beta_quantile(p: float, a: float, b: float) -> float:
    """Return x with I_x(a, b) = p, between 0 and 1. Raises ValueError for a p outside 0 to 1 or a, b not above 0."""
    _check_probability(p)
    if not (a > 0 and b > 0):
        raise ValueError(f"expected both shapes above 0, got {a} and {b}")
    if p in (0.0, 1.0):
        return p

    def excess(logit: float) -> float:
        return incomplete_beta(a, b, *_both_shares(logit)) - p

    return _both_shares(_rising_root(excess))[0]


def binomial_cdf(k: int, n: int, p: float) -> float:
    """Return P(X <= k) for X binomial(n, p). Raises ValueError for a negative n or a p outside 0 to 1."""
    _check_probability(p)
    if n < 0:
        raise ValueError(f"expected a count of 0 or more, got {n}")
    if k < 0:
        return 0.0
    if k >= n:
        return 1.0
    return incomplete_beta(n - k, k + 1, 1.0 - p, p)


def clopper_pearson(k: int, n: int, level: float = 0.95) -> tuple[float, float]:
    """Return the exact two-sided interval of a share from k hits in n, each tail at most (1 - level)/2.

    Clopper and Pearson, Biometrika 26 (1934) 404, in its beta-quantile form. n = 0 says nothing: (0, 1).
    Raises ValueError if k lies outside 0 to n or level outside 0 to 1.
    """
    if not 0 <= k <= n:
        raise ValueError(f"expected between 0 and {n} hits, got {k}")
    if not 0 < level < 1:
        raise ValueError(f"expected a level between 0 and 1, got {level}")
    tail = (1.0 - level) / 2.0
    low = 0.0 if k == 0 else beta_quantile(tail, k, n - k + 1)
    high = 1.0 if k == n else 1.0 - beta_quantile(tail, n - k, k + 1)
    return low, high


def incomplete_beta(a: float, b: float, x: float, rest: float) -> float:
    """Return the regularised incomplete beta I_x(a, b); rest is 1 - x, given apart so that neither loses digits.

    Continued fraction of DLMF 8.17.22 in Lentz's form, on the side of the mean where it converges fast.
    """
    if x <= 0.0:
        return 0.0
    if rest <= 0.0:
        return 1.0
    if x > (a + 1.0) / (a + b + 2.0):
        return 1.0 - _beta_fraction(b, a, rest, x)
    return _beta_fraction(a, b, x, rest)


def _beta_fraction(a: float, b: float, x: float, rest: float) -> float:
    front = math.exp(a * math.log(x) + b * math.log(rest) - _log_beta(a, b)) / a
    c, d = 1.0, 1.0 / _off_zero(1.0 - (a + b) * x / (a + 1.0))
    fraction = d
    for m in range(1, 100_000):
        even = m * (b - m) * x / ((a + 2 * m - 1.0) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1.0))
        for term in (even, odd):
            d = 1.0 / _off_zero(1.0 + term * d)
            c = _off_zero(1.0 + term / c)
            fraction *= c * d
        if abs(c * d - 1.0) < 1e-15:
            break
    return front * fraction


def _log_beta(a: float, b: float) -> float:
    return math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)


def _off_zero(value: float) -> float:
    return value if abs(value) > _TINY else _TINY


def _both_shares(logit: float) -> tuple[float, float]:
    """Return x and 1 - x of a logit, each with full relative accuracy."""
    small = math.exp(-abs(logit)) / (1.0 + math.exp(-abs(logit)))
    return (1.0 - small, small) if logit > 0 else (small, 1.0 - small)


def _t_magnitude(both_tails: float, dof: float) -> float:
    """Return t > 0 with P(|T| > t) = both_tails, from x = dof/(dof + t²), which is beta(dof/2, 1/2)."""

    def excess(logit: float) -> float:
        # Above one half the share inside is the small number: comparing it keeps its digits.
        beyond, within = _both_shares(-logit)
        if both_tails <= 0.5:
            return both_tails - incomplete_beta(dof / 2.0, 0.5, beyond, within)
        return incomplete_beta(0.5, dof / 2.0, within, beyond) - (1.0 - both_tails)

    logit = _rising_root(excess)
    if logit > 1400.0 - math.log(dof):
        return math.inf
    return math.sqrt(dof) * math.exp(logit / 2.0)


def _t_near_normal(z: float, dof: float) -> float:
    """Return Student's t expanded around z (Abramowitz and Stegun 26.7.5)."""
    if math.isinf(dof):
        return z
    g1 = (z**3 + z) / 4.0
    g2 = (5.0 * z**5 + 16.0 * z**3 + 3.0 * z) / 96.0
    g3 = (3.0 * z**7 + 19.0 * z**5 + 17.0 * z**3 - 15.0 * z) / 384.0
    return z + g1 / dof + g2 / dof**2 + g3 / dof**3


def _lower_normal_quantile(p: float) -> float:
    root = math.sqrt(-2.0 * math.log(p))
    numerator = 2.515517 + root * (0.802853 + root * 0.010328)
    denominator = 1.0 + root * (1.432788 + root * (0.189269 + root * 0.001308))
    z = numerator / denominator - root
    for _ in range(3):
        ratio = (0.5 * math.erfc(-z / math.sqrt(2.0)) - p) * math.sqrt(2.0 * math.pi) * math.exp(z * z / 2.0)
        z -= ratio / (1.0 + z * ratio / 2.0)
    return z


def _rising_root(excess: Callable[[float], float]) -> float:
    """Return where a rising function of a logit crosses zero: widen a bracket, then halve it or cut it by secant.

    Every other step halves the bracket, so it ends after at most twice the steps of plain bisection.
    """
    low, high = -1.0, 1.0
    while excess(low) > 0.0 and low > -1500.0:
        low, high = 2.0 * low, low
    while excess(high) < 0.0 and high < 1500.0:
        low, high = high, 2.0 * high
    at_low, at_high = excess(low), excess(high)
    for step in range(200):
        if high - low <= 1e-15 * max(1.0, abs(low), abs(high)):
            break
        middle = 0.5 * (low + high)
        if step % 2 and at_high > at_low:
            cut = low - at_low * (high - low) / (at_high - at_low)
            middle = cut if low < cut < high else middle
        value = excess(middle)
        if value == 0.0:
            return middle
        if value < 0.0:
            low, at_low = middle, value
        else:
            high, at_high = middle, value
    return 0.5 * (low + high)


def _check_probability(p: float) -> None:
    if not 0.0 <= p <= 1.0:
        raise ValueError(f"expected a probability between 0 and 1, got {p}")
