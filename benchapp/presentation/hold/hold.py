"""A hold as a strip of every servo pulse over time, with how often each value came beside it.

Thousands of pulses are drawn as one path of strokes too short to be seen, one dot a cell of 1.5 px: the report stays
small.
"""

import numpy as np
from numpy.typing import NDArray

from benchapp.presentation.ground.axes import Axis, axis, draw_x, draw_y, padded
from benchapp.presentation.ground.canvas import SMALL_PX, Canvas, Point
from benchapp.presentation.ground.colours import EDGE, SOFT_INK, role_colour
from benchapp.presentation.ground.numbers import at_places, counted, digits, exists
from benchapp.presentation.ground.page import Figure
from benchapp.records.sweep_findings import Array, Steadiness

WIDTH, HEIGHT = 720.0, 330.0
_LEFT, _SPLIT, _BARS, _RIGHT, _TOP, _BOTTOM = 62.0, 500.0, 524.0, 66.0, 44.0, 272.0
_CELL_PX = 1.5
_MOST_BARS = 60
_SAME_US = 0.002
_COLOUR = role_colour("output")


def hold(found: Steadiness, *, practice: bool) -> Figure | None:
    """Return the drawing, or None where no pulse came."""
    if found.at_s is None or found.off_us is None or found.at_s.size < 2 or not exists(found.median_us):
        return None
    several = len(found.positions) > 1
    base = 0.0 if several else found.median_us
    canvas = Canvas(WIDTH, HEIGHT)
    heights = found.off_us + base
    x_axis = axis(*padded(found.at_s.tolist(), 0.01), _LEFT + 8, _SPLIT, most=6, snug=True)
    y_axis = axis(*padded([float(heights.min()), float(heights.max())], 0.12), _BOTTOM, _TOP, most=6)
    _draw_positions(canvas, found, x_axis)
    canvas.dots(_cells(x_axis, y_axis, found, base), 1.5, _COLOUR)
    most = _draw_bars(canvas, heights, y_axis)
    title = "Away from its middle (µs)" if several else "Servo pulse (µs)"
    draw_y(canvas, y_axis, _LEFT, title)
    draw_x(canvas, x_axis, _BOTTOM + 4, "Time held (s)")
    draw_x(canvas, most, _BOTTOM + 4, "How often (count)")
    if practice:
        canvas.practice_mark()
    pulses = counted(found.pulses, "servo pulse")
    wander = digits(found.peak_to_peak_us, 2, "µs")
    return Figure(
        key="hold",
        svg=canvas.svg(),
        width=WIDTH,
        height=HEIGHT,
        alt=f"{pulses} over time while nothing was touched, within {wander}, and bars of how often each value came.",
        caption=f"Left, every servo pulse while nothing was touched; right, how often each value came. {pulses}, all "
        f"within {wander}.",
    )


def _cells(x_axis: Axis, y_axis: Axis, found: Steadiness, base: float) -> list[Point]:
    """Return one point for every small cell that holds a pulse: more would lie on top of each other."""
    if found.at_s is None or found.off_us is None:
        return []
    x = np.rint((x_axis.low_px + (found.at_s - x_axis.low) * _slope(x_axis)) / _CELL_PX)
    y = np.rint((y_axis.low_px + (found.off_us + base - y_axis.low) * _slope(y_axis)) / _CELL_PX)
    cells = np.unique(np.column_stack((x, y)), axis=0) * _CELL_PX
    return [(float(a), float(b)) for a, b in cells.tolist()]


def _slope(scale: Axis) -> float:
    return (scale.high_px - scale.low_px) / (scale.high - scale.low)


def _draw_positions(canvas: Canvas, found: Steadiness, x_axis: Axis) -> None:
    """Part the positions of a hold by a line, and number them."""
    if len(found.positions) < 2 or found.at_s is None:
        return
    start_ns = found.positions[0].from_ns
    for number, position in enumerate(found.positions, start=1):
        x = x_axis.at(max((position.from_ns - start_ns) / 1e9, x_axis.low))
        if number > 1:
            canvas.line((x, _TOP), (x, _BOTTOM), EDGE)
        canvas.text(x + 4, _TOP - 6, f"position {number}", size=SMALL_PX, colour=SOFT_INK)


def _values(heights: Array) -> tuple[Array, NDArray[np.int64]]:
    """Return the values that came and how often; what lies within 2 ns of each other is one value."""
    exact, counts = np.unique(heights, return_counts=True)
    group = np.cumsum(np.append(0, np.diff(exact) > _SAME_US))
    totals = np.bincount(group, counts)
    return np.bincount(group, exact * counts) / totals, totals.astype(np.int64)


def _draw_bars(canvas: Canvas, heights: Array, y_axis: Axis) -> Axis:
    """Draw how often each value came as bars from the left; return their axis."""
    values, counts = _values(heights)
    if values.size > _MOST_BARS:
        counts, edges = np.histogram(heights, bins=_MOST_BARS)
        values = (edges[1:] + edges[:-1]) / 2
    thick = _slope(y_axis) * (float(np.min(np.diff(values))) if values.size > 1 else 1.0)
    thick = min(max(abs(thick) * 0.8, 1.0), 12.0)
    scale = axis(0.0, float(counts.max()), _BARS, WIDTH - _RIGHT, most=3, whole=True)
    canvas.line((_BARS, _TOP), (_BARS, _BOTTOM), EDGE)
    for value, count in zip(values.tolist(), counts.tolist(), strict=True):
        if count:
            y = y_axis.at(value)
            canvas.box(_BARS, y - thick / 2, scale.at(count) - _BARS, thick, _COLOUR, opacity=0.75)
    top = int(np.argmax(counts))
    text = f"{at_places(float(values[top]), 2)}"
    place = scale.at(float(counts[top])) + 5, y_axis.at(float(values[top])) + 4
    canvas.text(*place, text, size=SMALL_PX, colour=SOFT_INK)
    return scale
