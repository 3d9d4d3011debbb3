"""How often each delay came, with a stroke for every flip beneath the bars."""

import math
from collections.abc import Sequence

from benchapp.presentation.ground.axes import axis, draw_x, draw_y, round_down, step_places
from benchapp.presentation.ground.canvas import Canvas
from benchapp.presentation.ground.colours import CARD, role_colour
from benchapp.presentation.ground.numbers import at_places, counted
from benchapp.presentation.ground.page import Figure
from benchapp.presentation.ground.rug import RUG_PX, draw_rug

WIDTH, HEIGHT = 356.0, 214.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 46.0, 14.0, 44.0, 150.0
_FEWEST_BARS, _MOST_BARS = 6, 24


def histogram(latencies_ms: Sequence[float], *, practice: bool) -> Figure | None:
    """Return the drawing of these delays [ms], or None where there are fewer than two."""
    if len(latencies_ms) < 2:
        return None
    width_ms = bar_width_ms(latencies_ms)
    counts = bar_counts(latencies_ms, width_ms)
    first, last = min(counts), max(counts) + 1
    canvas = Canvas(WIDTH, HEIGHT)
    x_axis = axis(first * width_ms, last * width_ms, _LEFT + 8, WIDTH - _RIGHT, most=6, snug=True)
    y_axis = axis(0.0, float(max(counts.values())), _BOTTOM, _TOP, most=5, whole=True)
    colour = role_colour("output")
    canvas.frame(_LEFT, _TOP - 8, WIDTH - _RIGHT, _BOTTOM)
    for number, count in counts.items():
        left, right = x_axis.at(number * width_ms), x_axis.at((number + 1) * width_ms)
        canvas.box(left, y_axis.at(count), right - left, _BOTTOM - y_axis.at(count), colour, opacity=0.75)
        canvas.line((right, y_axis.at(count)), (right, _BOTTOM), CARD, 1.0)
    draw_rug(canvas, latencies_ms, x_axis, _BOTTOM + 4, colour)
    draw_y(canvas, y_axis, _LEFT, "Flips (count)")
    draw_x(canvas, x_axis, _BOTTOM + RUG_PX + 8, "Delay (ms)")
    if practice:
        canvas.practice_mark()
    bar = f"{at_places(width_ms, step_places(width_ms))} ms"
    return Figure(
        key="histogram",
        svg=canvas.svg(),
        width=WIDTH,
        height=HEIGHT,
        alt=f"Bars of {bar} each showing how often each delay came among {counted(len(latencies_ms), 'flip')}.",
        caption=f"How often each delay came. A bar is {bar} wide, a stroke one flip.",
    )


def bar_width_ms(latencies_ms: Sequence[float]) -> float:
    """Return a round bar width [ms]: about 2·IQR/∛n (Freedman and Diaconis), rounded down, for 6 to about 60 bars."""
    ordered = sorted(latencies_ms)
    n = len(ordered)
    spread = ordered[-1] - ordered[0]
    if spread <= 0.0:
        return 0.1
    wanted = 2.0 * (ordered[(3 * n) // 4] - ordered[n // 4]) / n ** (1 / 3)
    held = min(max(wanted, spread / _MOST_BARS), spread / _FEWEST_BARS)
    return round_down(held)


def bar_counts(latencies_ms: Sequence[float], width_ms: float) -> dict[int, int]:
    """Return how many delays lie in each bar; bar k covers [k·width, (k + 1)·width)."""
    counts: dict[int, int] = {}
    for value in latencies_ms:
        number = math.floor(value / width_ms + 1e-9)
        counts[number] = counts.get(number, 0) + 1
    return counts
