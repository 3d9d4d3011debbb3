"""The transfer curve: what the output says at even positions of the stick, rising and falling apart."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchapp.reduction.sweep.pulse_scatter import keeps_on
from benchapp.reduction.sweep.repeatability import Repeatability, repeatability
from benchapp.reduction.sweep.sweep_pulses import Placed

POSITIONS = 51
FEWEST_AT_POSITION = 3
_LEAST_LEVERAGE = 0.05
Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Curve:
    """Readings at positions x, in the stick's unit, all (n,) and NaN where there is none.

    up_us, down_us : reached rising and falling     mean_us : half-way between, or the one there is
    spread_us : largest spread among single readings of one direction, NaN below two     u_us : standard uncertainty of
    mean_us from their scatter, alike at all positions     difference_u_us : of one up-down difference
    Both are None where nothing was repeated; dof : degrees of freedom of the scatter
    repeats : what strokes differ by, None where nothing was repeated     share_us : of a single reading, from the
    scatter of the pulses in it alone
    """

    x: Array
    up_us: Array
    down_us: Array
    mean_us: Array
    spread_us: Array
    u_us: float | None
    difference_u_us: float | None
    dof: int
    repeats: Repeatability | None = None
    share_us: float = 0.0


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Readings:
    """What strokes read at POSITIONS places from z = 0 to 1, NaN where pulses are too few.

    up_us, down_us : (POSITIONS,), a direction's readings     single_us : (strokes, POSITIONS), each stroke's
    share_us : standard deviation of a single reading from the scatter of the pulses in it alone
    """

    up_us: Array
    down_us: Array
    single_us: Array
    share_us: float


def curve_of_readings(
    x: Array,
    single: Array,
    ways: Array,
    *,
    up: Array | None = None,
    down: Array | None = None,
    share_us: float = 0.0,
    step_us: float = 0.0,
) -> Curve:
    """Return the curve of single readings, one row a stroke.

    x : (n,)     single : (strokes, n), NaN where a stroke has none     ways : (strokes,), +1 rising, -1 falling
    up, down : (n,), the directions' readings; None: the means of the single ones
    share_us : what the pulses' own scatter lets a single reading scatter by     step_us : the output's step
    """
    means, spreads, variances, dof = [], [], [], 0
    for sign, given in ((1.0, up), (-1.0, down)):
        these = single[ways == sign]
        counts = np.count_nonzero(np.isfinite(these), axis=0)
        sums = np.nansum(these, axis=0) if these.size else np.zeros(x.size)
        mean = np.where(counts > 0, sums / np.maximum(counts, 1), np.nan)
        repeated = counts > 1
        off = these - mean
        squares = float(np.nansum(off[:, repeated] ** 2))
        free = int(np.sum(counts[repeated] - 1))
        dof += free
        # One scatter for all positions: that of a single position has a few degrees of freedom only.
        variances.append(squares / free / float(np.mean(counts[repeated])) if free else None)
        high = np.max(np.where(np.isfinite(these), these, -np.inf), axis=0, initial=-np.inf)
        low = np.min(np.where(np.isfinite(these), these, np.inf), axis=0, initial=np.inf)
        spreads.append(np.where(repeated, high - low, np.nan))
        means.append(mean if given is None else given)
    known = [v for v in variances if v is not None]
    difference = float(np.sqrt(sum(known) * 2 / len(known))) if known else None
    return Curve(
        x=x,
        up_us=means[0],
        down_us=means[1],
        mean_us=averaged(means[0], means[1]),
        spread_us=np.fmax(spreads[0], spreads[1]),
        u_us=None if difference is None else difference / 2,
        difference_u_us=difference,
        dof=dof,
        repeats=repeatability(single, ways, share_us=share_us, step_us=step_us),
        share_us=share_us,
    )


def stroke_readings(placed: Placed, *, strokes: int) -> Readings:
    """Return rising, falling and single-stroke readings at POSITIONS places from z = 0 to 1.

    A direction's reading is the value of a straight line through its pulses within one spacing (2 % of span) of the
    place: the mean of a cell would bias linearity by up to 0.16 %. A single stroke's reading is its pulses' mean,
    brought to the place along the slope of its direction's line.
    """
    at = placed.z * (POSITIONS - 1)
    inside = (at >= 0) & (at <= POSITIONS - 1)
    left = np.minimum(at[inside].astype(np.intp), POSITIONS - 2)
    off = at[inside] - left
    base = float(np.mean(placed.us)) if placed.count else 0.0
    us, stroke, way = placed.us[inside] - base, placed.stroke[inside], placed.way[inside]

    def summed(order: int, values: Array | None) -> Array:
        total = np.zeros((strokes, POSITIONS))
        for place, distance in ((left, off), (left + 1, off - 1.0)):
            weights = distance**order if values is None else values * distance**order
            total += np.bincount(stroke * POSITIONS + place, weights, minlength=total.size).reshape(total.shape)
        return total

    ways = np.zeros(strokes)
    ways[stroke] = way
    count, s1, s2 = summed(0, None), summed(1, None), summed(2, None)
    y0, y1, yy = summed(0, us), summed(1, us), summed(0, us * us)
    both, single = [], np.full(count.shape, np.nan)
    shares = []
    for sign in (1.0, -1.0):
        these = ways == sign
        n, a, b, c, d = (part[these].sum(axis=0) for part in (count, s1, s2, y0, y1))
        spread = n * b - a * a
        good = (n >= FEWEST_AT_POSITION) & (spread > _LEAST_LEVERAGE * n * b)
        safe = np.where(good, spread, 1.0)
        both.append(np.where(good, (b * c - a * d) / safe, np.nan) + base)
        slope = np.where(good, (n * d - a * c) / safe, 0.0)
        enough = (count[these] >= FEWEST_AT_POSITION) & good
        counts = np.where(enough, count[these], 1.0)
        single[these] = np.where(enough, (y0[these] - slope * s1[these]) / counts + base, np.nan)
        own = (yy - y0 * y0 / np.maximum(count, 1))[these]
        own += slope * slope * (s2 - s1 * s1 / np.maximum(count, 1))[these]
        own -= 2 * slope * (y1 - s1 * y0 / np.maximum(count, 1))[these]
        shares.append((own[enough], count[these][enough]))
    squares, numbers = (np.concatenate(parts) for parts in zip(*shares, strict=True))
    # One scatter for all pulses: that of a single reading's few is not known well enough.
    variance = max(float(np.sum(squares)), 0.0) / max(float(np.sum(numbers - 1)), 1.0)
    shorter = float(np.mean(1.0 / numbers)) if numbers.size else 1.0
    kept = keeps_on(_off_curve(placed, both[0], both[1]), placed.stroke, most=1.0 / shorter)
    return Readings(
        up_us=both[0], down_us=both[1], single_us=single, share_us=float(np.sqrt(variance * kept * shorter))
    )


def _off_curve(placed: Placed, up: Array, down: Array) -> Array:
    """Return how far each pulse lies from its direction's curve, less its stroke's mean distance; 0 without a curve."""
    off, grid = np.zeros(placed.count), np.linspace(0.0, 1.0, POSITIONS)
    for way, own in ((1.0, up), (-1.0, down)):
        known, these = np.isfinite(own), placed.way == way
        if np.count_nonzero(known) > 1:
            inside = these & (placed.z >= grid[known][0]) & (placed.z <= grid[known][-1])
            off[inside] = placed.us[inside] - np.interp(placed.z[inside], grid[known], own[known])
    counts = np.maximum(np.bincount(placed.stroke, off != 0.0), 1)
    return np.where(off != 0.0, off - (np.bincount(placed.stroke, off) / counts)[placed.stroke], 0.0)


def averaged(up: Array, down: Array) -> Array:
    """Return half-way between two readings, or the one there is; NaN where there is neither."""
    mean = (up + down) / 2
    return np.where(np.isfinite(mean), mean, np.where(np.isfinite(up), up, down))
