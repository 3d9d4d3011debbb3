"""Every flip as a dot in time order, with the figure and its give or take."""

from benchapp.presentation.flips.switch_on_words import band_words, bands, beside_headline, figure_for
from benchapp.presentation.ground.axes import Axis, axis, draw_x, draw_y, padded
from benchapp.presentation.ground.canvas import SMALL_PX, Canvas, text_width_px
from benchapp.presentation.ground.colours import ACTION, EDGE, INK, SOFT_INK, role_colour
from benchapp.presentation.ground.enough import has_figure
from benchapp.presentation.ground.numbers import at_places, counted, exists, value_and_u
from benchapp.presentation.ground.page import Figure
from benchapp.records.findings import Latency

WIDTH, HEIGHT = 720.0, 330.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 58.0, 96.0, 64.0, 272.0
_LONG_S = 180.0
_KINDS = "Filled: the pulse grew longer (up); ring: it grew shorter (down); ×: left out."
OPACITIES = (0.18, 0.07)
"""Of the headline's band, and of the wider one for any switch-on where that is another."""


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
        _draw_figure(canvas, latency, x_axis, y_axis)
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
    _draw_key(canvas, latency)
    if practice:
        canvas.practice_mark()
    return Figure(
        key="dots",
        svg=canvas.svg(),
        width=WIDTH,
        height=HEIGHT,
        alt=_alt(latency),
        caption=_caption(latency),
    )


def _time_unit(latency: Latency) -> tuple[float, str]:
    times_ns = _times_ns(latency)
    return (60e9, "min") if (max(times_ns) - min(times_ns)) / 1e9 > _LONG_S else (1e9, "s")


def _times_ns(latency: Latency) -> list[int]:
    return [trial.at_ns for trial in latency.trials] + [flip.at_ns for flip in latency.excluded]


def _heights(latency: Latency) -> list[float]:
    heights = [trial.mid_ms for trial in latency.trials]
    for low, high in bands(latency):
        heights += [low, high]
    return heights


def _draw_figure(canvas: Canvas, latency: Latency, x_axis: Axis, y_axis: Axis) -> None:
    headline = latency.headline
    figure, spread = headline.value_ms, headline.expanded_uncertainty_ms
    if not exists(figure):
        return
    y = y_axis.at(figure)
    left, right = _LEFT, WIDTH - _RIGHT
    for (low, high), opacity in zip(bands(latency), OPACITIES, strict=False):
        top = y_axis.at(high)
        canvas.box(left, top, right - left, y_axis.at(low) - top, ACTION, opacity=opacity)
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


def _draw_key(canvas: Canvas, latency: Latency) -> None:
    x = 118.0
    for hollow, word in ((False, "up"), (True, "down")):
        canvas.dot(x, 12, 3.6, role_colour("output"), hollow=hollow)
        canvas.text(x + 9, 16, word, size=SMALL_PX, colour=SOFT_INK)
        x += 9 + text_width_px(word, SMALL_PX) + 18
    # A row of its own: the mark of practice stands at the end of the first.
    x = _LEFT
    for words, opacity in zip(band_words(latency), OPACITIES, strict=True):
        if words:
            canvas.box(x, 24, 18, 12, ACTION, opacity=opacity)
            canvas.text(x + 24, 34, words, size=SMALL_PX, colour=SOFT_INK)
            x += 24 + text_width_px(words, SMALL_PX) + 18


def _caption(latency: Latency) -> str:
    own, other = band_words(latency)
    if not has_figure(latency):
        return "Every flip in the order of time. Too few for a figure. " + _KINDS
    wide = f", the wide band {other}" if other else ""
    named = f"the band its give or take: {own}{wide}" if own else "and no give or take can be told"
    return f"Every flip in the order of time. The line is the figure, {named}. {_KINDS}"


def _alt(latency: Latency) -> str:
    low, high = min(t.mid_ms for t in latency.trials), max(t.mid_ms for t in latency.trials)
    headline = latency.headline
    figure = figure_for(headline.value_ms, headline.expanded_uncertainty_ms, headline.stands_for, latency.switch_ons)
    beside = beside_headline(latency)
    figure = f"{figure}, {beside}" if beside else figure
    told = f"the figure is {figure}" if has_figure(latency) else "too few for a figure"
    spread = f"between {at_places(low, 2)} ms and {at_places(high, 2)} ms"
    return f"{counted(len(latency.trials), 'flip')} as dots over time, {spread}; {told}."
