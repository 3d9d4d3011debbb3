"""Where in the frame each flip fell, and the delay it met there."""

from benchapp.presentation.ground.axes import axis, draw_x, draw_y, padded
from benchapp.presentation.ground.canvas import Canvas
from benchapp.presentation.ground.colours import role_colour
from benchapp.presentation.ground.numbers import counted, exists
from benchapp.presentation.ground.page import Figure
from benchapp.presentation.ground.rug import RUG_PX, draw_rug
from benchapp.records.findings import Latency

WIDTH, HEIGHT = 356.0, 214.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 46.0, 14.0, 44.0, 150.0


def phase_strip(latency: Latency, *, frame_ms: float | None, practice: bool) -> Figure | None:
    """Return the drawing, or None where no flip has a phase.

    frame_ms : the frame period [ms]; without it the phase is drawn as a share of the frame.
    """
    known = exists(frame_ms) and frame_ms > 0.0
    scale = frame_ms if exists(frame_ms) and known else 100.0
    flips = [(trial.phase * scale, trial) for trial in latency.trials if exists(trial.phase)]
    if not flips:
        return None
    canvas = Canvas(WIDTH, HEIGHT)
    x_axis = axis(0.0, scale, _LEFT + 8, WIDTH - _RIGHT, most=6, snug=True)
    y_axis = axis(*padded(trial.mid_ms for _, trial in flips), _BOTTOM, _TOP, most=6)
    colour = role_colour("output")
    radius = 3.4 if len(flips) <= 150 else 2.2
    canvas.frame(_LEFT, _TOP - 8, WIDTH - _RIGHT, _BOTTOM)
    for where, trial in flips:
        canvas.dot(x_axis.at(where), y_axis.at(trial.mid_ms), radius, colour, hollow=trial.direction == "down")
    draw_rug(canvas, (where for where, _ in flips), x_axis, _BOTTOM + 4, colour)
    draw_y(canvas, y_axis, _LEFT, "Delay (ms)")
    title = "After the start of a servo pulse (ms)" if known else "After the start of a servo pulse (% of a frame)"
    draw_x(canvas, x_axis, _BOTTOM + RUG_PX + 8, title)
    if practice:
        canvas.practice_mark()
    return Figure(
        key="phase",
        svg=canvas.svg(),
        width=WIDTH,
        height=HEIGHT,
        alt=f"The delay of {counted(len(flips), 'flip')} against the moment in the frame at which each fell.",
        caption="Where in the radio's frame each flip fell, and the delay it met. Bare stretches of the strip below: "
        "parts of the frame that no flip met.",
    )
