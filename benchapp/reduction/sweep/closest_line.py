"""Straight lines with the least largest deviation, exactly: free, held at the low end, or through both ends."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from benchapp.records.errors import NotEnoughData

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """A line y = intercept + slope·x and its largest deviation from the points.

    deviation keeps its sign (point less line) where the two largest are not alike; at_x is where it lies
    """

    slope: float
    intercept: float
    deviation: float
    at_x: float


def independent_line(x: ArrayLike, y: ArrayLike) -> Line:
    """Return the line, free in slope and offset, whose largest deviation is least.

    The vertical width of the points as a function of the slope is convex and bends only at slopes of their convex
    hull's edges, so its least value lies at one of those: every one is tried. deviation is half that width, above 0.
    Raises NotEnoughData below two distinct x.
    """
    places, values = _points(x, y)
    upper, lower = _hull(places, values), _hull(places, -values)
    slopes = np.concatenate([_slopes(places[h], values[h]) for h in (upper, lower)])
    over = np.max(values[upper] - slopes[:, None] * places[upper], axis=1)
    under = np.min(values[lower] - slopes[:, None] * places[lower], axis=1)
    best = int(np.argmin(over - under))
    slope, intercept = float(slopes[best]), float(over[best] + under[best]) / 2.0
    at = int(np.argmax(np.abs(values - intercept - slope * places)))
    half_width = float(over[best] - under[best]) / 2.0
    return Line(slope=slope, intercept=intercept, deviation=half_width, at_x=float(places[at]))


def zero_based_line(x: ArrayLike, y: ArrayLike) -> Line:
    """Return the line through the reading at the least x, free in slope, whose largest deviation is least.

    Of several readings at the least x the line passes through their mean, and they deviate from it. The largest
    deviation above falls with the slope, the largest below rises; both are made of straight pieces that change at
    slopes of the convex hull's edges, and the least value lies where two pieces cross.
    Raises NotEnoughData below two distinct x.
    """
    places, values = _points(x, y)
    origin = float(places.min())
    level = float(np.mean(values[places == origin]))
    run, rise = places - origin, values - level
    away = run > 0
    at_origin = float(np.max(np.abs(rise[~away])))
    run, rise = run[away], rise[away]
    slope = _balanced_slope(np.append(0.0, run), np.append(0.0, rise))
    deviations = rise - slope * run
    largest = int(np.argmax(np.abs(deviations)))
    size = max(float(np.abs(deviations[largest])), at_origin)
    return Line(slope=slope, intercept=level - slope * origin, deviation=size, at_x=origin + float(run[largest]))


def terminal_line(x: ArrayLike, y: ArrayLike) -> Line:
    """Return the line through the readings at the least and the greatest x, with the greatest deviation, signed.

    Of several readings at an end the line passes through their mean. Raises NotEnoughData below two distinct x.
    """
    places, values = _points(x, y)
    low, high = float(places.min()), float(places.max())
    start, end = (float(np.mean(values[places == end])) for end in (low, high))
    slope = (end - start) / (high - low)
    deviations = values - (start + slope * (places - low))
    at = int(np.argmax(np.abs(deviations)))
    return Line(slope=slope, intercept=start - slope * low, deviation=float(deviations[at]), at_x=float(places[at]))


def _balanced_slope(run: Array, rise: Array) -> float:
    """Return the slope through the origin at which the largest deviations above and below are alike."""
    upper, lower = _hull(run, rise), _hull(run, -rise)
    bends = np.unique(np.concatenate([_slopes(run[h], rise[h]) for h in (upper, lower)]))
    # Between two bends one point is the farthest above and one the farthest below; outside, those of the end bends.
    inner = np.concatenate([[bends[0] - 1.0], (bends[1:] + bends[:-1]) / 2.0, [bends[-1] + 1.0]])
    above = upper[np.argmax(rise[upper] - inner[:, None] * run[upper], axis=1)]
    below = lower[np.argmin(rise[lower] - inner[:, None] * run[lower], axis=1)]
    reach = run[above] + run[below]
    crossing = (rise[above] + rise[below]) / np.where(reach > 0, reach, np.inf)
    slopes = np.concatenate([bends, np.clip(crossing, np.append(-np.inf, bends), np.append(bends, np.inf))])
    largest = np.max(np.abs(rise[np.append(upper, lower)] - slopes[:, None] * run[np.append(upper, lower)]), axis=1)
    return float(slopes[int(np.argmin(largest))])


def _hull(x: Array, y: Array) -> NDArray[np.intp]:
    """Return the indices of the points' upper hull, from left to right (Andrew's monotone chain)."""
    order = np.lexsort((y, x))
    # Of points above one another only the highest, which comes last, can be on the hull.
    order = order[np.append(np.diff(x[order]) > 0, True)]
    hull: list[int] = []
    for i in order.tolist():
        while len(hull) > 1 and _below(x, y, hull[-2], hull[-1], i):
            hull.pop()
        hull.append(i)
    return np.array(hull, np.intp)


def _below(x: Array, y: Array, a: int, b: int, c: int) -> bool:
    """Return whether b lies on or below the line from a to c."""
    return bool((y[b] - y[a]) * (x[c] - x[a]) <= (y[c] - y[a]) * (x[b] - x[a]))


def _slopes(x: Array, y: Array) -> Array:
    return np.diff(y) / np.diff(x)


def _points(x: ArrayLike, y: ArrayLike) -> tuple[Array, Array]:
    places, values = np.asarray(x, np.float64), np.asarray(y, np.float64)
    if places.shape != values.shape:
        raise ValueError(f"expected a reading for each position, got {values.size} for {places.size}")
    if places.size < 2 or np.ptp(places) == 0:
        raise NotEnoughData(f"a line needs readings at two different positions at least; {places.size} at one came")
    return places, values
