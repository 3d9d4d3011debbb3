"""Every flip as a dot in the order flipped, with the figure and its gives or takes; the same for paper and window."""

from itertools import pairwise

from benchapp.presentation.flips.switch_on_words import band_words, bands, beside_headline, figure_for
from benchapp.presentation.ground.axes import Axis, axis, draw_x, draw_y, padded
from benchapp.presentation.ground.canvas import SMALL_PX, Canvas, text_width_px
from benchapp.presentation.ground.colours import ACTION, EDGE, INK, SOFT_INK, role_colour
from benchapp.presentation.ground.enough import has_figure
from benchapp.presentation.ground.numbers import at_places, counted, exists, value_and_u
from benchapp.presentation.ground.page import Figure, Plot, Spot
from benchapp.records.findings import Latency

WIDTH, HEIGHT = 720.0, 268.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 52.0, 92.0, 54.0, 222.0
_KINDS = "Filled: the pulse grew longer (up); ring: it grew shorter (down); ×: left out."
X_TITLE, Y_TITLE = "Flip, in the order flipped (no.)", "Delay (ms)"
OPACITIES = (0.18, 0.07)
"""Of the headline's band, and of the wider one for any switch-on where that is another."""


def dots(latency: Latency, *, practice: bool) -> Figure | None:
    """Return the drawing, its spots beside it, or None where no flip counts."""
    if not latency.trials:
        return None
    canvas = Canvas(WIDTH, HEIGHT)
    plot = dots_plot(latency)
    x_axis = axis(
        *padded((spot.x for spot in plot.spots), 0.02), _LEFT + 8, WIDTH - _RIGHT, most=10, snug=True, whole=True
    )
    y_axis = axis(*padded(_heights(plot)), _BOTTOM, _TOP, most=6)
    canvas.frame(_LEFT, _TOP - 8, WIDTH - _RIGHT, _BOTTOM + 4)
    if has_figure(latency):
        _draw_figure(canvas, latency, x_axis, y_axis)
    for place in plot.breaks:
        canvas.line((x_axis.at(place), _TOP), (x_axis.at(place), _BOTTOM + 4), EDGE)
    radius = 3.6 if len(latency.trials) <= 150 else 2.4
    for spot in plot.spots:
        if spot.kind == "out":
            canvas.cross(x_axis.at(spot.x), _TOP if spot.y is None else y_axis.at(spot.y), 3.5, SOFT_INK)
        elif spot.y is not None:
            canvas.dot(x_axis.at(spot.x), y_axis.at(spot.y), radius, role_colour("output"), hollow=spot.kind == "down")
    draw_y(canvas, y_axis, _LEFT, Y_TITLE)
    draw_x(canvas, x_axis, _BOTTOM + 4, X_TITLE)
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
        plot=plot,
    )


def dots_plot(latency: Latency) -> Plot:
    """Return every flip's spot, the figure's line and its bands as numbers."""
    kept = [
        Spot(flip=trial.flip, x=float(trial.flip), y=trial.mid_ms, kind=trial.direction) for trial in latency.trials
    ]
    out = [Spot(flip=flip.flip, x=float(flip.flip), y=flip.mid_ms, kind="out") for flip in latency.excluded]
    words = [words for words in band_words(latency) if words]
    named = tuple((low, high, said) for (low, high), said in zip(bands(latency), words, strict=False))
    level = latency.headline.value_ms if has_figure(latency) else None
    return Plot(
        x_title=X_TITLE, y_title=Y_TITLE, spots=(*kept, *out), level=level, bands=named, breaks=_breaks(latency)
    )


def _breaks(latency: Latency) -> tuple[float, ...]:
    """Return where one switch-on ends and the next begins: half-way between two flips."""
    pairs = pairwise(latency.trials)
    return tuple((one.flip + other.flip) / 2 for one, other in pairs if one.block != other.block)


def _heights(plot: Plot) -> list[float]:
    heights = [spot.y for spot in plot.spots if spot.y is not None]
    for low, high, _ in plot.bands:
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
            canvas.box(x, 25, 18, 12, ACTION, opacity=opacity)
            canvas.text(x + 24, 35, words, size=SMALL_PX, colour=SOFT_INK)
            x += 24 + text_width_px(words, SMALL_PX) + 18


def _caption(latency: Latency) -> str:
    own, other = band_words(latency)
    if not has_figure(latency):
        return "Every flip, in the order flipped. Too few for a figure. " + _KINDS
    named = ", ".join(words for words in (own, other) if words) or "no give or take can be told"
    return f"Every flip, in the order flipped. Line: the figure; bands: {named}. {_KINDS}"


def _alt(latency: Latency) -> str:
    low, high = min(t.mid_ms for t in latency.trials), max(t.mid_ms for t in latency.trials)
    headline = latency.headline
    figure = figure_for(headline.value_ms, headline.expanded_uncertainty_ms, headline.stands_for, latency.switch_ons)
    beside = beside_headline(latency)
    figure = f"{figure}, {beside}" if beside else figure
    told = f"the figure is {figure}" if has_figure(latency) else "too few for a figure"
    spread = f"between {at_places(low, 2)} ms and {at_places(high, 2)} ms"
    return f"{counted(len(latency.trials), 'flip')} as dots in the order flipped, {spread}; {told}."
