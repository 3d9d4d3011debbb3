"""Two samples by ranks: Hodges and Lehmann's shift with its interval, Mann and Whitney's p. They decide nothing here.

Samples are switch-on means, never flips: flips pooled over switch-ons are no independent values.
"""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from benchapp.reduction.ground.distributions import normal_quantile

MOST_EXACT = 60
"""Values in both samples together up to which the exact law is worked out; beyond, the normal one with its tie and
continuity corrections (Hollander and Wolfe, Nonparametric Statistical Methods, chapter 4, from memory)."""

Array = NDArray[np.float64]


def hodges_lehmann(x: ArrayLike, y: ArrayLike, level: float = 0.95) -> tuple[float | None, tuple[float, float] | None]:
    """Return the median of all y - x, and its closed distribution-free interval of at least that level.

    x : (m,), y : (n,). The interval runs between the c-th smallest and the c-th largest difference, c the largest with
    P(U <= c - 1) <= (1 - level)/2 under exchange; None where too few values reach that level. (None, None) without
    values on either side.
    """
    differences = np.sort(np.subtract.outer(np.asarray(y, np.float64), np.asarray(x, np.float64)).ravel())
    if differences.size == 0:
        return None, None
    m, n = np.asarray(x).size, np.asarray(y).size
    place = _closed_rank(m, n, (1.0 - level) / 2.0)
    interval = (float(differences[place - 1]), float(differences[-place])) if place >= 1 else None
    return float(np.median(differences)), interval


def mann_whitney_p(x: ArrayLike, y: ArrayLike) -> float | None:
    """Return the two-sided p that both samples come from one law; None without values.

    Twice the smaller tail, at most 1. Exact by counting all ways of dealing the (mid)ranks, up to MOST_EXACT values.
    """
    first, second = np.asarray(x, np.float64), np.asarray(y, np.float64)
    if first.size == 0 or second.size == 0:
        return None
    both = np.concatenate([first, second])
    doubled = _doubled_ranks(both)
    taken = int(doubled[: first.size].sum())
    if both.size > MOST_EXACT:
        return _normal_p(doubled / 2.0, taken / 2.0, first.size)
    ways = _ways(doubled, first.size)
    total = ways.sum()
    below, above = ways[: taken + 1].sum() / total, ways[taken:].sum() / total
    return min(1.0, 2.0 * float(min(below, above)))


def _closed_rank(m: int, n: int, tail: float) -> int:
    """Return the largest c with P(U <= c - 1) <= tail; 0 where there is none."""
    if m + n > MOST_EXACT:
        centre, sd = m * n / 2.0, math.sqrt(m * n * (m + n + 1) / 12.0)
        from_normal = centre - normal_quantile(1.0 - tail) * sd
        return max(0, math.floor(from_normal))
    ranks = 2 * np.arange(1, m + n + 1)
    ways = _ways(ranks, m)[::2][m * (m + 1) // 2 :]  # by U: untied rank sums begin at m(m + 1)/2
    cumulated = np.cumsum(ways) / ways.sum()
    return int(np.searchsorted(cumulated, tail * (1 + 1e-12), side="right"))


def _doubled_ranks(values: Array) -> NDArray[np.int64]:
    """Return twice the midrank of each value: whole numbers, ties included."""
    ordered = np.sort(values)
    below = np.searchsorted(ordered, values, side="left")
    up_to = np.searchsorted(ordered, values, side="right")
    return (below + up_to + 1).astype(np.int64)


def _ways(ranks: Sequence[int] | NDArray[np.int64], chosen: int) -> Array:
    """Return how many ways of choosing so many of the ranks give each sum, by sum."""
    most = int(np.sum(ranks))
    ways = np.zeros((chosen + 1, most + 1))
    ways[0, 0] = 1.0
    for rank in (int(rank) for rank in ranks):
        for count in range(chosen, 0, -1):
            ways[count, rank:] += ways[count - 1, : most + 1 - rank]
    return np.asarray(ways[chosen])


def _normal_p(ranks: Array, taken: float, first: int) -> float:
    n = ranks.size
    second = n - first
    _, ties = np.unique(ranks, return_counts=True)
    tied = float(np.sum(ties.astype(np.float64) ** 3 - ties)) / (n * (n - 1))
    sd = math.sqrt(first * second / 12.0 * (n + 1 - tied))
    off = max(abs(taken - first * (n + 1) / 2.0) - 0.5, 0.0)
    return math.erfc(off / sd / math.sqrt(2.0)) if sd > 0 else 1.0
