"""A short stretch of the travel close up: every servo pulse as a dot, the output's steps as the lines they stand on."""

import math

import numpy as np

from benchapp.presentation.ground.axes import Axis, axis, draw_x, draw_y, padded
from benchapp.presentation.ground.canvas import SMALL_PX, Canvas
from benchapp.presentation.ground.colours import HAIRLINE, SOFT_INK
from benchapp.presentation.ground.numbers import counted, digits, exists, plainly
from benchapp.presentation.ground.page import Figure
from benchapp.presentation.ground.stick_facts import up_and_down_told
from benchapp.presentation.sweep.sweep_key import draw_key, mark_dots, placed, stick_title
from benchapp.records.sweep_findings import Linearity, StrokeDots

WIDTH, HEIGHT = 720.0, 330.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 62.0, 110.0, 44.0, 272.0
_FEWEST = 8
_MOST_STEPS = 18
_APART_SAYS_NOTHING = " Lag and hysteresis were not told apart here: how far up and down lie apart says nothing."


def staircase(found: Linearity, *, practice: bool) -> Figure | None:
    """Return the drawing, or None where too few pulses lie in the stretch."""
    if found.close_up is None or found.close_up.x.size < _FEWEST or not exists(found.travel_x):
        return None
    dots = _closer(found, found.close_up)
    canvas = Canvas(WIDTH, HEIGHT)
    x_axis = axis(*padded(dots.x.tolist(), 0.03), _LEFT + 8, WIDTH - _RIGHT, most=6, snug=True)
    y_axis = axis(*padded(dots.us.tolist(), 0.08), _BOTTOM, _TOP, most=6)
    lines = _draw_steps(canvas, found, dots, y_axis)
    for rising in (True, False):
        these = dots.rising == rising
        mark_dots(canvas, placed(dots.x[these], dots.us[these], x_axis, y_axis), rising=rising, radius=2.4)
    draw_y(canvas, y_axis, _LEFT, "Servo pulse (µs)")
    draw_x(canvas, x_axis, _BOTTOM + 4, stick_title(found))
    draw_key(canvas, 134.0, lines=((HAIRLINE, "steps"),) if lines else ())
    if practice:
        canvas.practice_mark()
    stretch = f"{plainly(100.0 * float(np.ptp(dots.x)) / found.travel_x, 2, '%')} of the stick's travel"
    steps = f" The lines are its steps, {digits(found.step_us, 3, 'µs')} apart." if lines else ""
    pulses = counted(int(dots.x.size), "servo pulse")
    return Figure(
        key="staircase",
        svg=canvas.svg(),
        width=WIDTH,
        height=HEIGHT,
        alt=f"{pulses} close up, over {stretch}, standing on steps."
        if lines
        else f"{pulses} close up, over {stretch}.",
        caption=f"Close up, above the middle: every servo pulse over {stretch}. Filled: coming up; ring: going "
        f"down.{steps}{'' if up_and_down_told(found) else _APART_SAYS_NOTHING}",
    )


def _closer(found: Linearity, dots: StrokeDots) -> StrokeDots:
    """Return the dots of so short a stretch round the middle one that single steps can be seen."""
    if not exists(found.step_us) or np.ptp(dots.us) <= _MOST_STEPS * found.step_us:
        return dots
    off = np.abs(dots.x - float(np.median(dots.x)))
    reach = float(off.max()) * _MOST_STEPS * found.step_us / float(np.ptp(dots.us))
    near = off <= max(reach, float(np.sort(off)[min(_FEWEST, off.size) - 1]))
    return StrokeDots(x=dots.x[near], us=dots.us[near], rising=dots.rising[near])


def _draw_steps(canvas: Canvas, found: Linearity, dots: StrokeDots, y_axis: Axis) -> bool:
    """Draw a line at every step inside the picture, with a bracket at one of them."""
    step = found.step_us
    if not exists(step) or found.values is None:
        return False
    values = found.values.us
    base = float(values[int(np.argmin(np.abs(values - float(np.median(dots.us)))))])
    first, last = math.ceil((y_axis.low - base) / step), math.floor((y_axis.high - base) / step)
    if not 2 <= last - first <= 2 * _MOST_STEPS:
        return False
    for number in range(first, last + 1):
        y = y_axis.at(base + number * step)
        canvas.line((_LEFT, y), (WIDTH - _RIGHT, y), HAIRLINE)
    top, bottom, x = y_axis.at(base + step), y_axis.at(base), WIDTH - _RIGHT + 6
    for y in (top, bottom):
        canvas.line((x, y), (x + 6, y), SOFT_INK)
    canvas.line((x + 6, top), (x + 6, bottom), SOFT_INK)
    canvas.text(x + 12, (top + bottom) / 2 - 2, "one step", size=SMALL_PX)
    canvas.text(x + 12, (top + bottom) / 2 + 13, digits(step, 3, "µs"), size=SMALL_PX)
    return True
