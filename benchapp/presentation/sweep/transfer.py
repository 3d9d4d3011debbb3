"""The transfer curve: the servo pulse over the stick's travel, up and down, with the best straight line."""

import numpy as np

from benchapp.presentation.ground.axes import axis, draw_x, draw_y, padded
from benchapp.presentation.ground.canvas import SMALL_PX, Canvas
from benchapp.presentation.ground.colours import ACTION, SOFT_INK
from benchapp.presentation.ground.numbers import counted, digits, exists, plainly
from benchapp.presentation.ground.page import Figure
from benchapp.presentation.ground.stick_facts import told_curve, up_and_down_told
from benchapp.presentation.sweep.sweep_key import NOT_TOLD, draw_key, mark_dots, placed, stick_title
from benchapp.records.sweep_findings import Linearity

WIDTH, HEIGHT = 720.0, 360.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 62.0, 28.0, 40.0, 302.0


def transfer(found: Linearity, *, practice: bool) -> Figure | None:
    """Return the drawing, or None where there is no curve."""
    curve, line = told_curve(found), found.lines.get("independent")
    if curve is None or line is None or not exists(found.span_us):
        return None
    canvas = Canvas(WIDTH, HEIGHT)
    known = curve.mean_us[np.isfinite(curve.mean_us)].tolist()
    straight = [line.intercept_us + line.slope * x for x in (float(curve.x[0]), float(curve.x[-1]))]
    x_axis = axis(*padded(curve.x.tolist(), 0.02), _LEFT + 8, WIDTH - _RIGHT, most=8, snug=True)
    y_axis = axis(*padded([*known, *straight], 0.03), _BOTTOM, _TOP, most=6)
    ends = [(x_axis.at(float(curve.x[place])), y_axis.at(straight[place])) for place in (0, -1)]
    canvas.line(ends[0], ends[1], ACTION, 1.5)
    told = up_and_down_told(found)
    for rising, values in ((True, curve.up_us), (False, curve.down_us)) if told else ((True, curve.mean_us),):
        mark_dots(canvas, placed(curve.x, values, x_axis, y_axis), rising=rising)
    _say_ends(canvas, found)
    draw_y(canvas, y_axis, _LEFT, "Servo pulse (µs)")
    draw_x(canvas, x_axis, _BOTTOM + 4, stick_title(found))
    draw_key(canvas, 134.0, told=told, lines=((ACTION, "best straight line"),))
    if practice:
        canvas.practice_mark()
    span = digits(found.span_us, 4, "µs")
    off = f"{digits(abs(line.deviation_us), 2, 'µs')} ({plainly(line.deviation_pct, 2, '%')} of full travel)"
    return Figure(
        key="transfer",
        svg=canvas.svg(),
        width=WIDTH,
        height=HEIGHT,
        alt=f"The servo pulse over the stick's travel at {counted(found.positions, 'position')}: {span} in all; "
        f"half-way between up and down it is never more than {off} from the best straight line.",
        caption=f"The servo pulse over the stick's travel, with the best straight line. {_marks(told)} Half-way "
        f"between the two it is never farther from the line than {off}.",
    )


def _marks(told: bool) -> str:
    return "Filled: the stick was coming up; ring: it was going down." if told else NOT_TOLD


def _say_ends(canvas: Canvas, found: Linearity) -> None:
    """Say in words where an end of the curve is not the end of the stick's travel."""
    for at_low, clipped, railed in (
        (True, found.clipped_low, found.railed_low),
        (False, found.clipped_high, found.railed_high),
    ):
        words = "the pulse stops here" if clipped else "the voltage lead stops here" if railed else ""
        if words:
            x, anchor = (_LEFT + 16, "start") if at_low else (WIDTH - _RIGHT - 8, "end")
            y = _BOTTOM - 8 if at_low == (found.rising_output is not False) else _TOP + 8
            canvas.text(x, y, words, size=SMALL_PX, anchor=anchor, colour=SOFT_INK)
