"""The probe's rate against the computer's, from heartbeats."""

import math

import numpy as np
from numpy.typing import NDArray

from benchapp.records.findings import ClockFit
from benchapp.records.stream import ClockPairs
from benchapp.reduction.ground.uncertainty import rectangular

COMPUTER_PPM = 20.0
"""Standard uncertainty of the computer's own clock; no fit against it can be better (40 ppm expanded)."""
UNKNOWN_TOLERANCE_PPM = 5000.0
"""Bound for a probe that states none: ceramic resonators are sold as ± 0.5 %, and published ones lay within."""
CAPTURE_TOLERANCE_PPM = 100.0
"""Bound for the clock of a capture, which states none: instruments run on crystals, sold as 10 to 50 ppm."""
SHORTEST_SPAN_NS = 2_000_000_000
FEWEST_PAIRS = 10
_NEAREST = 5
_CAUTION = 1.5
"""Factor on the fit's own uncertainty: the line touches the points it is judged by. Simulated with it, twice the
standard uncertainty held the true rate in at least 97 % of fits of 3 to 60 s."""

Array = NDArray[np.float64]


def fit_clock(pairs: ClockPairs | None, tolerance_ppm: float | None) -> ClockFit:
    """Return the probe's rate error, its standard uncertainty, and whether durations are to be scaled by it.

    error_ppm > 0: the probe's tick runs fast, so a duration of probe time is too long; true = stamped/(1 + error).
    The rate is that of the line under all heartbeats: a message can be late but never early. Pairs of less than
    2 s, or a fit worse than the maker's tolerance, leave the rate at its nominal value (error None) with the
    tolerance as a rectangular bound. applied only where the error exceeds twice its standard uncertainty; where it
    does not, standard_ppm includes the error that was left in.
    """
    fitted = fit_rate(pairs)
    bound = rectangular(UNKNOWN_TOLERANCE_PPM if tolerance_ppm is None else tolerance_ppm)
    if fitted is None or fitted[1] > bound > 0.0:
        return ClockFit(error_ppm=None, standard_ppm=bound, applied=False)
    error, standard = fitted
    applied = abs(error) > 2.0 * standard
    left_in = 0.0 if applied else error
    return ClockFit(error_ppm=error, standard_ppm=math.hypot(standard, left_in), applied=applied)


def fit_rate(pairs: ClockPairs | None) -> tuple[float, float] | None:
    """Return how much too fast the probe runs and its standard uncertainty, in ppm, the computer's own included.

    None where the pairs say too little: fewer than 10, or less than 2 s.
    """
    if pairs is None or pairs.probe_ns.size < FEWEST_PAIRS:
        return None
    probe = (pairs.probe_ns - pairs.probe_ns[0]).astype(np.float64)
    order = np.argsort(probe, kind="stable")
    probe = probe[order]
    if probe[-1] < SHORTEST_SPAN_NS:
        return None
    # Differences of the two clocks first: in float64 the stamps themselves would lose nanoseconds.
    host_ahead = ((pairs.host_ns - pairs.host_ns[0]) - (pairs.probe_ns - pairs.probe_ns[0])).astype(np.float64)[order]
    slope, base = _line_below(probe, host_ahead)
    error_ppm = 1e6 * (1.0 / (1.0 + slope) - 1.0)
    fit_ppm = 1e6 * _slope_uncertainty(probe, host_ahead - (base + slope * probe))
    return error_ppm, math.hypot(COMPUTER_PPM, fit_ppm)


def _line_below(x: Array, y: Array) -> tuple[float, float]:
    """Return slope and value at 0 of the line under all points that lies closest to them on the whole.

    That line is the edge of the lower convex hull above the mean x (Moon, Skelly and Towsley, INFOCOM 1999).
    """
    hull = _lower_hull(x, y)
    centre = float(np.mean(x))
    right = min(max(int(np.searchsorted(x[hull], centre)), 1), len(hull) - 1)
    a, b = hull[right - 1], hull[right]
    slope = float((y[b] - y[a]) / (x[b] - x[a]))
    return slope, float(y[a] - slope * x[a])


def _lower_hull(x: Array, y: Array) -> list[int]:
    """Return the indices of the lower convex hull from left to right (Andrew's monotone chain); x is sorted."""
    hull: list[int] = []
    for i in range(x.size):
        if hull and x[i] == x[hull[-1]]:
            if y[i] >= y[hull[-1]]:
                continue
            hull.pop()
        while len(hull) > 1 and _turns_down(x, y, hull[-2], hull[-1], i):
            hull.pop()
        hull.append(i)
    return hull


def _turns_down(x: Array, y: Array, a: int, b: int, c: int) -> bool:
    return bool((x[b] - x[a]) * (y[c] - y[a]) <= (y[b] - y[a]) * (x[c] - x[a]))


def _slope_uncertainty(x: Array, above: Array) -> float:
    """Return the standard uncertainty of the line's slope from how thinly the least delays lie, half by half.

    The least of many delays exceeds the true least by about the mean spacing of the smallest ones, and has that
    spacing as its standard deviation (order statistics of an exponential law); the least delays of the two halves
    lie about half the span apart.
    """
    late = x > (x[0] + x[-1]) / 2.0
    least_delays = math.hypot(_spacing(above[late]), _spacing(above[~late]))
    return _CAUTION * least_delays / (float(x[-1] - x[0]) / 2.0)


def _spacing(above: Array) -> float:
    nearest = np.sort(above)[: _NEAREST + 1]
    if nearest.size < 2:
        return float(np.inf)
    return float((nearest[-1] - nearest[0]) / (nearest.size - 1))
