"""How far the curve lies from its best straight line, up and down apart, inside the band that gives straightness."""

import numpy as np

from benchapp.presentation.ground.axes import Axis, axis, draw_x, draw_y, padded
from benchapp.presentation.ground.canvas import SMALL_PX, Canvas
from benchapp.presentation.ground.colours import ACTION, EDGE, SOFT_INK
from benchapp.presentation.ground.numbers import NBSP, at_places, digits, exists, plainly
from benchapp.presentation.ground.page import Figure
from benchapp.presentation.ground.stick_facts import told_curve, up_and_down_told
from benchapp.presentation.sweep.sweep_key import (
    BETWEEN,
    COLOUR,
    DOWN,
    NOT_TOLD,
    UP,
    draw_key,
    mark_dots,
    placed,
    stick_title,
)
from benchapp.records.sweep_findings import CurveLine, Linearity, TransferCurve

WIDTH, HEIGHT = 720.0, 330.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 62.0, 118.0, 44.0, 272.0


def deviation(found: Linearity, *, practice: bool) -> Figure | None:
    """Return the drawing, or None where there is no curve."""
    curve, line = told_curve(found), found.lines.get("independent")
    if curve is None or line is None or not exists(found.span_us):
        return None
    canvas = Canvas(WIDTH, HEIGHT)
    x_axis = axis(*padded(curve.x.tolist(), 0.02), _LEFT + 8, WIDTH - _RIGHT, most=8, snug=True)
    y_axis = axis(*padded(_heights(curve, line), 0.06), _BOTTOM, _TOP, most=6)
    _draw_band(canvas, line, x_axis, y_axis)
    canvas.path(placed(curve.x, curve.mean_off_us, x_axis, y_axis), EDGE, 1.2)
    told = up_and_down_told(found)
    for rising, values in (
        ((True, curve.up_off_us), (False, curve.down_off_us)) if told else ((True, curve.mean_off_us),)
    ):
        points = placed(curve.x, values, x_axis, y_axis)
        canvas.path(points, COLOUR, 1.0)
        mark_dots(canvas, points, rising=rising)
    draw_y(canvas, y_axis, _LEFT, "Away from the line (µs)")
    draw_x(canvas, x_axis, _BOTTOM + 4, stick_title(found))
    draw_key(canvas, 190.0, told=told, lines=((EDGE, BETWEEN),) if told else ())
    if practice:
        canvas.practice_mark()
    half = f"{digits(abs(line.deviation_us), 2, 'µs')}, {plainly(line.deviation_pct, 2, '%')} of full travel"
    return Figure(
        key="deviation",
        svg=canvas.svg(),
        width=WIDTH,
        height=HEIGHT,
        alt=f"How far the servo pulse lies from the best straight line along the stick's travel"
        f"{f', {UP} and {DOWN} apart' if told else ''}; the band that holds the middle between up and down is {half} "
        "either way.",
        caption=f"How far the servo pulse lies from the best straight line. {_marks(told)} The band, {half} either "
        f"way, is the narrowest that holds the half-way line: it is the straightness."
        f"{' Up and down may leave it.' if told else ''}",
    )


def _marks(told: bool) -> str:
    return f"Filled: {UP}; ring: {DOWN}; the line between is half-way." if told else NOT_TOLD


def _heights(curve: TransferCurve, line: CurveLine) -> list[float]:
    every = np.concatenate([curve.up_off_us, curve.down_off_us, curve.mean_off_us])
    half = abs(line.deviation_us)
    return [*every[np.isfinite(every)].tolist(), -half, half]


def _draw_band(canvas: Canvas, line: CurveLine, x_axis: Axis, y_axis: Axis) -> None:
    half = abs(line.deviation_us)
    left, right = _LEFT, WIDTH - _RIGHT
    top, bottom = y_axis.at(half), y_axis.at(-half)
    canvas.box(left, top, right - left, bottom - top, ACTION, opacity=0.14)
    canvas.line((left, y_axis.at(0.0)), (right, y_axis.at(0.0)), ACTION, 1.5)
    canvas.text(right + 8, y_axis.at(0.0) + 4, "best line", size=SMALL_PX, colour=SOFT_INK)
    middle = (top + y_axis.at(0.0)) / 2
    if y_axis.at(0.0) - top < 2 * SMALL_PX:  # the words would run into those of the line
        middle = top - SMALL_PX
    canvas.text(right + 8, middle, f"± {at_places(line.deviation_pct, 2)}{NBSP}%", bold=True)
