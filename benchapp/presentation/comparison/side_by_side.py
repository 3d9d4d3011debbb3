"""Sets side by side on one axis of ms: every flip a dot, every switch-on a tick, the figure with both bands."""

from collections.abc import Sequence
from dataclasses import dataclass

from benchapp.presentation.comparison.comparison_words import by_figure, rank_words, set_figure_words
from benchapp.presentation.ground.axes import Axis, axis, draw_x, padded
from benchapp.presentation.ground.canvas import SMALL_PX, TEXT_PX, Canvas, text_width_px
from benchapp.presentation.ground.colours import ACTION, HAIRLINE, INK, SOFT_INK, role_colour
from benchapp.presentation.ground.numbers import counted, value_and_u
from benchapp.presentation.ground.page import Figure
from benchapp.records.comparison import DIFFERENT, ComparedSet, Comparison

WIDTH = 720.0
_LEFT, _RIGHT, _TOP = 236.0, 660.0, 44.0
_FOOT = 102.0
_HIGHEST_ROW, _LEAST_ROW, _MOST_ROWS_PX = 62.0, 12.5, 620.0
_NAME_PX = 50.0
_BANDS = (0.10, 0.22)
"""How strong the band of the whole give or take is, and that of the flips alone."""
_TIE_PX, _MOST_TIES = 8.0, 6
MODEL_M_S = 20.0
"""How fast the model of the second scale flies: a quick model (common practice, no source)."""
CAPTION = (
    "One row a set, the quickest on top. Dot: a flip, the first at the top of its row. Tick: the mean of a switch-on. "
    "Line: the figure; narrow band: its flips alone, wide band: its whole give or take. Bar on the right: these cannot "
    "be told apart. Stragglers are not drawn."
)


@dataclass(frozen=True, kw_only=True, slots=True)
class _Row:
    """Where a set is drawn, [px]."""

    own: ComparedSet
    label: str
    top: float
    height: float


def side_by_side(comparison: Comparison, labels: Sequence[str], *, practice: bool) -> Figure | None:
    """Return the drawing, None where no set has a flip. labels : what each set is called."""
    order = [place for place in by_figure(comparison) if comparison.sets[place].power_ups]
    if not order:
        return None
    row_px = max(_LEAST_ROW, min(_HIGHEST_ROW, _MOST_ROWS_PX / len(order)))
    rows = [
        _Row(own=comparison.sets[place], label=labels[place], top=_TOP + number * row_px, height=row_px)
        for number, place in enumerate(order)
    ]
    bottom = _TOP + len(order) * row_px
    canvas = Canvas(WIDTH, bottom + _FOOT)
    scale = axis(*padded(_extremes(rows), 0.03), _LEFT, _RIGHT, most=8, snug=True)
    for number, row in enumerate(rows):
        if number:
            canvas.line((8.0, row.top), (_RIGHT, row.top), HAIRLINE)
        _draw_row(canvas, row, scale)
    _draw_ties(canvas, ties(comparison, order), rows)
    draw_x(canvas, scale, bottom + 4, "Delay (ms)")
    _draw_flight(canvas, scale, bottom + 74)
    _draw_key(canvas)
    if practice:
        canvas.practice_mark()
    return Figure(
        key="side-by-side",
        svg=canvas.svg(),
        width=WIDTH,
        height=bottom + _FOOT,
        alt=_alt(rows),
        caption=CAPTION,
    )


def ties(comparison: Comparison, order: Sequence[int]) -> list[tuple[int, int]]:
    """Return the longest stretches of rows, (first, last), of which no two are surely different."""
    apart = {(pair.a, pair.b) for pair in comparison.pairs if pair.verdict == DIFFERENT}
    apart |= {(b, a) for a, b in apart}
    found: list[tuple[int, int]] = []
    for first in range(len(order)):
        last = first
        while last + 1 < len(order) and not any((order[i], order[last + 1]) in apart for i in range(first, last + 1)):
            last += 1
        if last > first and (not found or last > found[-1][1]):
            found.append((first, last))
    return found


def _extremes(rows: Sequence[_Row]) -> list[float]:
    times = [trial.mid_ms for row in rows for one in row.own.power_ups for trial in one.trials]
    figures = [row.own.figure for row in rows if row.own.figure is not None]
    return [
        *times,
        *(figure.value_ms - figure.wide_ms for figure in figures),
        *(figure.value_ms + figure.wide_ms for figure in figures),
    ]


def _draw_row(canvas: Canvas, row: _Row, scale: Axis) -> None:
    _draw_label(canvas, row)
    figure = row.own.figure
    top, height = row.top + 2, row.height - 4
    if figure is not None:
        for half, opacity in zip((figure.wide_ms, figure.half_ms), _BANDS, strict=True):
            left, right = scale.at(figure.value_ms - half), scale.at(figure.value_ms + half)
            canvas.box(left, top, right - left, height, ACTION, opacity=opacity)
    ticks = max(3.0, 0.2 * height)
    trials = [trial for one in row.own.power_ups for trial in one.trials]
    step = (height - ticks - 4) / max(len(trials), 1)
    radius = 1.9 if row.height > 30 else 1.1
    dots = [(scale.at(trial.mid_ms), top + 2 + (number + 0.5) * step) for number, trial in enumerate(trials)]
    canvas.dots(dots, radius, role_colour("output"))
    for one in row.own.power_ups:
        x = scale.at(one.mean_ms)
        canvas.line((x, top + height - ticks), (x, top + height), INK, 1.3)
    if figure is not None:
        x = scale.at(figure.value_ms)
        canvas.line((x, top), (x, top + height), ACTION, 2.0)


def _draw_label(canvas: Canvas, row: _Row) -> None:
    rank = rank_words(row.own.rank).replace(" to ", "–")
    two_lines = row.height >= 34
    size = TEXT_PX if two_lines else SMALL_PX - 1
    small = SMALL_PX if two_lines else SMALL_PX - 1
    middle = row.top + row.height / 2
    below = 4 if row.height >= 16 else 3
    canvas.text(8, middle + (0 if two_lines else below), rank, size=small, colour=SOFT_INK)
    if two_lines:
        canvas.text(_NAME_PX, middle - 3, _fitting(row.label, _LEFT - 12 - _NAME_PX, size), size=size, bold=True)
        canvas.text(_NAME_PX, middle + 14, _short(row.own), size=small, colour=SOFT_INK)
        return
    figure = _short(row.own)
    room = _LEFT - 24 - _NAME_PX - text_width_px(figure, small)
    canvas.text(_NAME_PX, middle + below, _fitting(row.label, room, size), size=size, bold=True)
    canvas.text(_LEFT - 12, middle + below, figure, size=small, anchor="end", colour=SOFT_INK)


def _short(own: ComparedSet) -> str:
    """Return "13.31 ± 0.66 ms", or how many flips are missing."""
    if own.figure is None:
        return f"{own.answered} flips: too few"
    value, give = value_and_u(own.figure.value_ms, own.figure.wide_ms)
    return f"{value} ± {give} ms"


def _fitting(text: str, width: float, size: float) -> str:
    if text_width_px(text, size, bold=True) <= width:
        return text
    while text and text_width_px(text + "…", size, bold=True) > width:
        text = text[:-1]
    return text.rstrip() + "…"


def _draw_ties(canvas: Canvas, found: Sequence[tuple[int, int]], rows: Sequence[_Row]) -> None:
    """Draw a bar beside each stretch of rows that cannot be told apart; bars that overlap stand beside each other."""
    for number, (first, last) in enumerate(found):
        x = _RIGHT + 14 + (number % _MOST_TIES) * _TIE_PX
        top, bottom = rows[first].top + 4, rows[last].top + rows[last].height - 4
        canvas.line((x, top), (x, bottom), SOFT_INK, 2.5)


def _draw_flight(canvas: Canvas, scale: Axis, y: float) -> None:
    """Draw a second scale that says the same in a length: what a model flies meanwhile."""
    metres = axis(scale.low * MODEL_M_S / 1e3, scale.high * MODEL_M_S / 1e3, _LEFT, _RIGHT, most=6, snug=True)
    for tick in metres.ticks:
        x = metres.at(tick)
        canvas.line((x, y - 4), (x, y), SOFT_INK)
        words = f"{tick:.{metres.places}f} m"
        canvas.text(x, y + 13, words, size=SMALL_PX - 1, anchor="middle", colour=SOFT_INK)
    canvas.text(_LEFT - 8, y + 4, f"flown at {MODEL_M_S:g} m/s", size=SMALL_PX - 1, anchor="end", colour=SOFT_INK)


def _draw_key(canvas: Canvas) -> None:
    x = _NAME_PX
    canvas.dots([(x, 16)], 2.2, role_colour("output"))
    x = _key_word(canvas, x + 8, "flip")
    canvas.line((x, 10), (x, 21), INK, 1.3)
    x = _key_word(canvas, x + 7, "switch-on")
    canvas.line((x, 8), (x, 23), ACTION, 2.0)
    canvas.box(x - 7, 10, 14, 11, ACTION, opacity=_BANDS[1])
    canvas.box(x - 14, 10, 28, 11, ACTION, opacity=_BANDS[0])
    _key_word(canvas, x + 20, "figure with its flips' and its whole give or take")


def _key_word(canvas: Canvas, x: float, word: str) -> float:
    canvas.text(x, 20, word, size=SMALL_PX, colour=SOFT_INK)
    return x + text_width_px(word, SMALL_PX) + 22


def _alt(rows: Sequence[_Row]) -> str:
    told = "; ".join(f"{row.label}: {set_figure_words(row.own)}" for row in rows[:12])
    rest = f"; and {counted(len(rows) - 12, 'more set')}" if len(rows) > 12 else ""
    return f"{counted(len(rows), 'set')} side by side over the delay, the quickest first. {told}{rest}."
