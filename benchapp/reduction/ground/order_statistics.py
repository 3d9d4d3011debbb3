"""Percentiles and their distribution-free intervals by order statistics."""

import math
from collections.abc import Callable
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from benchapp.records.errors import NotEnoughData
from benchapp.records.findings import Interval
from benchapp.reduction.ground.distributions import binomial_cdf


def percentile(values: ArrayLike, q: float) -> float:
    """Return the quantile q (a fraction, 0 to 1) by linear interpolation between order statistics.

    Definition 7 of Hyndman and Fan (The American Statistician 50, 1996, 361): position 1 + (n - 1)q.
    values : (n,), any order; inf stands for "later than anything seen" and may come back.
    Raises NotEnoughData without values, ValueError for a q outside 0 to 1 or a NaN.
    """
    ordered = _sorted(values)
    _check_fraction(q)
    if ordered.size == 0:
        raise NotEnoughData(f"a percentile needs at least one value; none came for the {100 * q:g} % point")
    position = (ordered.size - 1) * q
    below = min(math.floor(position), ordered.size - 1)
    share = position - below
    low = float(ordered[below])
    if share == 0.0:
        return low
    high = float(ordered[below + 1])
    # Two unanswered neighbours: inf - inf would be NaN.
    return low if high == low else low + share * (high - low)


@lru_cache(maxsize=1024)
def interval_ranks(n: int, q: float, level: float = 0.95) -> tuple[int | None, int | None]:
    """Return the ranks (from 1) whose values bound quantile q of the population, each tail at most (1 - level)/2.

    With X binomial(n, q): lower rank = the largest r with P(X <= r - 1) <= tail; upper rank = the smallest s with
    P(X >= s) <= tail. None where no order statistic is far enough out (the 95th percentile has an upper rank
    from n = 72 on, because 0.95^72 is the first power below 0.025).
    Source: David and Nagaraja, Order Statistics, 3rd ed., section 7.1.
    """
    _check_fraction(q)
    tail = (1.0 - level) / 2.0
    below = _count_where(n, lambda k: binomial_cdf(k, n, q) <= tail)
    not_above = _count_where(n, lambda k: binomial_cdf(n - 1 - k, n, 1.0 - q) > tail)
    return (below if below > 0 else None), (not_above + 1 if not_above < n else None)


def interval_level(n: int, q: float, lower: int | None, upper: int | None) -> float:
    """Return the exact probability that the values of two ranks enclose quantile q of a continuous population."""
    at_most = 1.0 if upper is None else binomial_cdf(upper - 1, n, q)
    return at_most - (0.0 if lower is None else binomial_cdf(lower - 1, n, q))


def quantile_interval(values: ArrayLike, q: float, level: float = 0.95) -> Interval:
    """Return the distribution-free interval of quantile q; a limit is None where no finite value bounds it."""
    ordered = _sorted(values)
    lower, upper = interval_ranks(ordered.size, q, level)
    return _finite(ordered, lower), _finite(ordered, upper)


def _count_where(n: int, holds: Callable[[int], bool]) -> int:
    """Return how many of 0 to n - 1 satisfy a condition that, once false, stays false."""
    low, high = 0, n
    while low < high:
        middle = (low + high) // 2
        if holds(middle):
            low = middle + 1
        else:
            high = middle
    return low


def _finite(ordered: NDArray[np.float64], rank: int | None) -> float | None:
    if rank is None or not math.isfinite(ordered[rank - 1]):
        return None
    return float(ordered[rank - 1])


def _sorted(values: ArrayLike) -> NDArray[np.float64]:
    ordered = np.sort(np.asarray(values, dtype=np.float64))
    if ordered.size and math.isnan(ordered[-1]):
        raise ValueError("expected numbers or inf, got NaN: leave out what has no value")
    return ordered


def _check_fraction(q: float) -> None:
    if not 0.0 <= q <= 1.0:
        raise ValueError(f"expected a fraction between 0 and 1, got {q}")
