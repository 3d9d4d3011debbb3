"""The share of flips answered within a delay: a step for every flip."""

from collections.abc import Sequence

from benchapp.presentation.ground.axes import Axis, axis, draw_x, draw_y, padded
from benchapp.presentation.ground.canvas import SMALL_PX, Canvas
from benchapp.presentation.ground.colours import EDGE, SOFT_INK, role_colour
from benchapp.presentation.ground.numbers import counted, exists, with_unit
from benchapp.presentation.ground.page import Figure
from benchapp.records.findings import PointSummary

WIDTH, HEIGHT = 356.0, 214.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 46.0, 112.0, 44.0, 168.0


def distribution(latencies_ms: Sequence[float], summary: PointSummary, *, practice: bool) -> Figure | None:
    """Return the drawing of these delays [ms], or None where there are fewer than two."""
    if len(latencies_ms) < 2:
        return None
    canvas = Canvas(WIDTH, HEIGHT)
    ordered = sorted(latencies_ms)
    x_axis = axis(*padded(ordered, 0.03), _LEFT + 8, WIDTH - _RIGHT, most=4, snug=True)
    y_axis = axis(0.0, 100.0, _BOTTOM, _TOP, most=5)
    colour = role_colour("output")
    canvas.frame(_LEFT, _TOP - 8, WIDTH - _RIGHT, _BOTTOM + 4)
    for share, value in ((5.0, summary.p05_ms), (50.0, summary.median_ms), (95.0, summary.p95_ms)):
        if exists(value) and x_axis.holds(value):
            y = y_axis.at(share)
            canvas.line((x_axis.at(value), y), (WIDTH - _RIGHT, y), EDGE)
            canvas.text(WIDTH - _RIGHT + 6, y + 4, f"{share:.0f} %: {with_unit(value, 2, 'ms')}", size=SMALL_PX)
    canvas.path(_steps(ordered, x_axis, y_axis), SOFT_INK, 1.2)
    radius = 2.8 if len(ordered) <= 150 else 1.6
    for place, value in enumerate(ordered, start=1):
        canvas.dot(x_axis.at(value), y_axis.at(100.0 * place / len(ordered)), radius, colour)
    draw_y(canvas, y_axis, _LEFT, "Answered (%)")
    draw_x(canvas, x_axis, _BOTTOM + 4, "Within a delay of (ms)")
    if practice:
        canvas.practice_mark()
    return Figure(
        key="distribution",
        svg=canvas.svg(),
        width=WIDTH,
        height=HEIGHT,
        alt=f"Rising steps: the share of {counted(len(ordered), 'flip')} answered within each delay.",
        caption="The share of the flips that count, answered within a delay. Each dot is one flip.",
        by_request=True,
    )


def _steps(ordered: Sequence[float], x_axis: Axis, y_axis: Axis) -> list[tuple[float, float]]:
    height = y_axis.at(0.0)
    points = [(x_axis.low_px, height)]
    for place, value in enumerate(ordered, start=1):
        x, risen = x_axis.at(value), y_axis.at(100.0 * place / len(ordered))
        points += [(x, height), (x, risen)]
        height = risen
    return [*points, (x_axis.high_px, height)]
