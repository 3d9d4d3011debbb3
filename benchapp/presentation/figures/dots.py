"""Every flip as a dot in time order, with the figure and its give or take."""

from benchapp.presentation.figures.axes import Axis, axis, draw_x, draw_y, padded
from benchapp.presentation.figures.canvas import SMALL_PX, Canvas, text_width_px
from benchapp.presentation.figures.colours import ACTION, EDGE, INK, SOFT_INK, role_colour
from benchapp.presentation.numbers import counted, exists, give_or_take, value_and_u
from benchapp.presentation.page import Figure
from benchapp.presentation.verdict import has_figure
from benchapp.records.findings import Headline, Latency

WIDTH, HEIGHT = 720.0, 330.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 58.0, 96.0, 64.0, 272.0
_LONG_S = 180.0


def dots(latency: Latency, *, practice: bool) -> Figure | None:
    """Return the drawing, or None where no flip counts."""
    if not latency.trials:
        return None
    canvas = Canvas(WIDTH, HEIGHT)
    per_unit, unit = _time_unit(latency)
    times = [at_ns / per_unit for at_ns in _times_ns(latency)]
    x_axis = axis(*padded(times, 0.02), _LEFT + 8, WIDTH - _RIGHT, most=8, snug=True)
    y_axis = axis(*padded(_heights(latency)), _BOTTOM, _TOP, most=6)
    if has_figure(latency):
        _draw_figure(canvas, latency.headline, x_axis, y_axis)
    _draw_switch_ons(canvas, latency, x_axis, per_unit)
    radius = 3.6 if len(latency.trials) <= 150 else 2.4
    for trial in latency.trials:
        place = x_axis.at(trial.at_ns / per_unit), y_axis.at(trial.mid_ms)
        canvas.dot(*place, radius, role_colour("output"), hollow=trial.direction == "down")
    for flip in latency.excluded:
        canvas.cross(x_axis.at(flip.at_ns / per_unit), _TOP - 14, 3.5, SOFT_INK)
    if latency.excluded:
        canvas.text(WIDTH - _RIGHT + 8, _TOP - 10, "left out", size=SMALL_PX, colour=SOFT_INK)
    draw_y(canvas, y_axis, _LEFT, "Delay (ms)")
    draw_x(canvas, x_axis, _BOTTOM + 4, f"Time in the session ({unit})")
    _draw_key(canvas, practice=practice)
    if practice:
        canvas.practice_mark()
    return Figure(
        key="dots",
        svg=canvas.svg(),
        width=WIDTH,
        height=HEIGHT,
        alt=_alt(latency),
        caption=f"Every flip in the order of time. {_line_words(latency)} Filled: the pulse grew longer (up); ring: it "
        "grew shorter (down); ×: left out.",
    )


def _line_words(latency: Latency) -> str:
    return "The line is the figure, the band its give or take." if has_figure(latency) else "Too few for a figure."


def _time_unit(latency: Latency) -> tuple[float, str]:
    times_ns = _times_ns(latency)
    return (60e9, "min") if (max(times_ns) - min(times_ns)) / 1e9 > _LONG_S else (1e9, "s")


def _times_ns(latency: Latency) -> list[int]:
    return [trial.at_ns for trial in latency.trials] + [flip.at_ns for flip in latency.excluded]


def _heights(latency: Latency) -> list[float]:
    heights = [trial.mid_ms for trial in latency.trials]
    figure, spread = latency.headline.value_ms, latency.headline.expanded_uncertainty_ms
    if exists(figure) and has_figure(latency):
        room = spread if exists(spread) else 0.0
        heights += [figure - room, figure + room]
    return heights


def _draw_figure(canvas: Canvas, headline: Headline, x_axis: Axis, y_axis: Axis) -> None:
    figure, spread = headline.value_ms, headline.expanded_uncertainty_ms
    if not exists(figure):
        return
    y = y_axis.at(figure)
    left, right = _LEFT, WIDTH - _RIGHT
    if exists(spread):
        top = y_axis.at(figure + spread)
        canvas.box(left, top, right - left, y_axis.at(figure - spread) - top, ACTION, opacity=0.14)
    canvas.line((left, y), (right, y), ACTION, 1.5)
    value, give = value_and_u(figure, spread)
    canvas.text(right + 8, y + 1, f"{value} ms", bold=True, colour=INK)
    if exists(spread):
        canvas.text(right + 8, y + 17, f"± {give} ms", size=SMALL_PX, colour=SOFT_INK)


def _draw_switch_ons(canvas: Canvas, latency: Latency, x_axis: Axis, per_unit: float) -> None:
    previous = latency.trials[0].block
    for trial in latency.trials:
        if trial.block != previous:
            x = x_axis.at(trial.at_ns / per_unit) - 5
            canvas.line((x, _TOP), (x, _BOTTOM + 4), EDGE)
        previous = trial.block


def _draw_key(canvas: Canvas, *, practice: bool) -> None:
    x = 118.0
    for hollow, word in ((False, "up"), (True, "down")):
        canvas.dot(x, 12, 3.6, role_colour("output"), hollow=hollow)
        canvas.text(x + 9, 16, word, size=SMALL_PX, colour=SOFT_INK)
        x += 9 + text_width_px(word, SMALL_PX) + 18


def _alt(latency: Latency) -> str:
    low, high = min(t.mid_ms for t in latency.trials), max(t.mid_ms for t in latency.trials)
    figure = give_or_take(latency.headline.value_ms, latency.headline.expanded_uncertainty_ms, "ms")
    told = f"the figure is {figure}" if has_figure(latency) else "too few for a figure"
    spread = f"between {low:.2f} ms and {high:.2f} ms"
    return f"{counted(len(latency.trials), 'flip')} as dots over time, {spread}; {told}."
