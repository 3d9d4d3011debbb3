"""Lines of a lead around a flip, from its edges or its samples, never denser than the eye can follow."""

import numpy as np
from numpy.typing import NDArray

from benchapp.presentation.ground.axes import Axis
from benchapp.presentation.ground.canvas import Point
from benchapp.records.run import LeadEvidence
from benchapp.records.stream import Edges
from benchapp.waveforms.volts import volts

_MOST_POINTS = 1500
_LEAST_REACH_V = 0.2  # less is noise, and noise blown up to the whole lane reads as a signal


def edge_trace(edges: Edges, zero_ns: int, x_axis: Axis, *, top: float, bottom: float) -> list[Point]:
    """Return the corners of an on-off line: x from the axis [ms after zero_ns], y at top when high, bottom when low."""
    first, last = _window(edges.times_ns, zero_ns, x_axis)
    times_ms = (edges.times_ns[first:last] - zero_ns) / 1e6
    levels = edges.levels[first:last]
    if first > 0:
        level = int(edges.levels[first - 1])
    elif levels.size:
        level = 1 - int(levels[0])
    else:
        level = 1 - int(edges.levels[0])
    points = [(x_axis.low_px, _height(level, top, bottom))]
    kept = _spread(times_ms, x_axis)
    for place in kept:
        x = x_axis.at(float(times_ms[place]))
        points += [(x, points[-1][1]), (x, _height(int(levels[place]), top, bottom))]
    return [*points, (x_axis.high_px, points[-1][1])]


def volts_between(lead: LeadEvidence, zero_ns: int, x_axis: Axis) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return times [ms after zero_ns] and volts of a voltage lead's samples inside the axis, both (n,)."""
    if lead.levels is None:
        return np.empty(0), np.empty(0)
    first, last = _window(lead.levels.times_ns, zero_ns, x_axis)
    values = np.asarray(volts(lead.levels, lead.lead)[first:last], dtype=np.float64)
    times_ms = (lead.levels.times_ns[first:last] - zero_ns) / 1e6
    good = np.isfinite(values)
    return times_ms[good], values[good]


def volt_trace(
    times_ms: NDArray[np.float64], values: NDArray[np.float64], x_axis: Axis, *, top: float, bottom: float
) -> list[Point]:
    """Return a voltage line between bottom and top; a span below 0.2 V is drawn no larger than its share of that."""
    if not values.size:
        return []
    middle = (float(np.max(values)) + float(np.min(values))) / 2
    reach = max(float(np.max(values)) - float(np.min(values)), _LEAST_REACH_V)
    return [
        (
            x_axis.at(float(times_ms[place])),
            (top + bottom) / 2 - (float(values[place]) - middle) / reach * (bottom - top),
        )
        for place in _spread(times_ms, x_axis)
    ]


def pulse_spans(edges: Edges, zero_ns: int, from_ms: float, to_ms: float, *, level: int) -> list[tuple[float, float]]:
    """Return begin and end [ms after zero_ns] of every state of that level wholly inside the window, in time order."""
    times_ms = (edges.times_ns - zero_ns) / 1e6
    inside = np.flatnonzero((edges.levels[:-1] == level) & (times_ms[:-1] >= from_ms) & (times_ms[1:] <= to_ms))
    return [(float(times_ms[place]), float(times_ms[place + 1])) for place in inside[:_MOST_POINTS]]


def _window(times_ns: NDArray[np.int64], zero_ns: int, x_axis: Axis) -> tuple[int, int]:
    low_ns, high_ns = zero_ns + round(x_axis.low * 1e6), zero_ns + round(x_axis.high * 1e6)
    return int(np.searchsorted(times_ns, low_ns)), int(np.searchsorted(times_ns, high_ns, side="right"))


def _spread(times_ms: NDArray[np.float64], x_axis: Axis) -> list[int]:
    """Return which edges or samples to draw: all of them, or about two in every half px."""
    if times_ms.size <= _MOST_POINTS:
        return list(range(times_ms.size))
    columns = np.floor((times_ms - x_axis.low) / (x_axis.high - x_axis.low) * _MOST_POINTS / 2)
    edges = np.flatnonzero(np.diff(columns)) + 1
    return sorted({0, *edges.tolist(), *(edges - 1).tolist(), times_ms.size - 1})


def _height(level: int, top: float, bottom: float) -> float:
    return top if level else bottom
