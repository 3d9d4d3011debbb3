"""A table turned into pieces: a head that comes again on every page, then a piece for each row."""

from collections.abc import Iterable, Sequence
from itertools import pairwise

from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QPainter

from benchapp.presentation.ground.colours import EDGE, HAIRLINE, SOFT_INK
from benchapp.presentation.ground.page import Column, Table
from benchapp.report.pdf_pages import Piece
from benchapp.report.pdf_type import Laid, Style, Typesetter

_CAPTION = Style(size=8.6, bold=True, leading=1.3)
_NOTE = Style(size=7.4, colour=SOFT_INK, leading=1.28)
_SIZE = 7.6
_GUTTER, _WIDE_GUTTER = 7.0, 17.0
_PAD = 1.2
_AIR = 26.0


def table_pieces(table: Table, setter: Typesetter, width: float) -> Iterable[Piece]:
    """Return caption, head, rows and notes of a table across a width [pt].

    A table that need not split stays on one page where it fits; the head comes again where it does not.
    """
    lefts_widths = _places(table, setter, width)
    caption = setter.lay(table.caption, width, _CAPTION)
    yield Piece(
        height=caption.height + 3.0,
        draw=lambda painter, top: caption.draw(painter, 0.0, top),
        space_above=8.0,
        keep_next=True,
    )
    head = _head(table.columns, lefts_widths, setter, width)
    yield head
    last = len(table.rows) - 1
    for number, row in enumerate(table.rows):
        cells = [
            setter.lay(cell.text, room, Style(size=_SIZE, right=column.numeric))
            for cell, column, (_, room) in zip(row, table.columns, lefts_widths, strict=True)
        ]
        # The first two rows stay with the head and the last two together, so that no page holds a single row.
        kept = not table.splits or number == 0 or number == last - 1
        keep_next = (kept and number < last) or (number == last and bool(table.notes) and not table.splits)
        yield _row(cells, lefts_widths, setter, width, head=head, keep_next=keep_next)
    for number, note in enumerate(table.notes):
        yield _note(note, setter, width, first=number == 0, keep_next=number < len(table.notes) - 1)


def _note(note: str, setter: Typesetter, width: float, *, first: bool, keep_next: bool) -> Piece:
    laid = setter.lay(note, width, _NOTE)
    return Piece(
        height=laid.height,
        draw=lambda painter, top: laid.draw(painter, 0.0, top),
        space_above=4.0 if first else 0.0,
        keep_next=keep_next,
    )


def _head(columns: Sequence[Column], places: Sequence[tuple[float, float]], setter: Typesetter, width: float) -> Piece:
    titles = [
        setter.lay(column.title, room, Style(size=_SIZE, bold=True, right=column.numeric))
        for column, (_, room) in zip(columns, places, strict=True)
    ]
    units = [
        setter.lay(column.unit, room, Style(size=_SIZE, colour=SOFT_INK, right=column.numeric)) if column.unit else None
        for column, (_, room) in zip(columns, places, strict=True)
    ]
    unit_height = max((unit.height for unit in units if unit is not None), default=0.0)
    title_height = max((title.height for title in titles), default=0.0)
    height = title_height + unit_height + 2 * _PAD

    def draw(painter: QPainter, top: float) -> None:
        for (left, _), title, unit in zip(places, titles, units, strict=True):
            floor = top + _PAD + title_height
            if unit is None:
                title.draw(painter, left, floor + unit_height - title.height)
            else:
                title.draw(painter, left, floor - title.height)
                unit.draw(painter, left, floor)
        _line(painter, setter, top + height, width, EDGE)

    return Piece(height=height, draw=draw, keep_next=True)


def _row(
    cells: Sequence[Laid],
    places: Sequence[tuple[float, float]],
    setter: Typesetter,
    width: float,
    *,
    head: Piece,
    keep_next: bool,
) -> Piece:
    height = max((cell.height for cell in cells), default=0.0) + 2 * _PAD

    def draw(painter: QPainter, top: float) -> None:
        for (left, _), cell in zip(places, cells, strict=True):
            cell.draw(painter, left, top + _PAD)
        _line(painter, setter, top + height, width, HAIRLINE)

    return Piece(height=height, draw=draw, keep_next=keep_next, again=head)


def _line(painter: QPainter, setter: Typesetter, y: float, width: float, colour: str) -> None:
    k = setter.scale
    painter.fillRect(QRectF(0.0, (y - 0.5) * k, width * k, 0.5 * k), QColor(colour))


def _places(table: Table, setter: Typesetter, width: float) -> list[tuple[float, float]]:
    """Return left edge and width of every column.

    Columns of numbers get what they need and some air; columns of text share what is left.
    """
    gutters = _gutters(table.columns)
    room = width - sum(gutters)
    needs = [_need(table, number, setter) for number in range(len(table.columns))]
    numeric = sum(column.numeric for column in table.columns)
    if numeric:
        air = min(max(room - sum(needs), 0.0) * 0.5 / numeric, _AIR)
        needs = [need + air if column.numeric else need for need, column in zip(needs, table.columns, strict=True)]
    shares = [0.0 if column.numeric else column.share for column in table.columns]
    left_over = room - sum(needs)
    if left_over < 0.0:
        widths = [need * room / sum(needs) for need in needs]
    elif sum(shares) > 0.0:
        widths = [need + left_over * share / sum(shares) for need, share in zip(needs, shares, strict=True)]
    else:
        widths = [need + left_over / len(needs) for need in needs]
    places, left = [], 0.0
    for one, gutter in zip(widths, gutters, strict=True):
        places.append((left, one))
        left += one + gutter
    return places


def _gutters(columns: Sequence[Column]) -> list[float]:
    """Return the room after each column; more where text on the left follows a number on the right."""
    meets = [left.numeric and not right.numeric for left, right in pairwise(columns)]
    return [*(_WIDE_GUTTER if wide else _GUTTER for wide in meets), 0.0]


def _need(table: Table, number: int, setter: Typesetter) -> float:
    column = table.columns[number]
    words = max((setter.width(word, Style(size=_SIZE, bold=True)) for word in _words(column.title)), default=0.0)
    unit = setter.width(column.unit, Style(size=_SIZE))
    body = Style(size=_SIZE)
    if column.numeric:
        # Digits have one width: the longest text is the widest but for a few signs.
        longest = sorted({row[number].text for row in table.rows}, key=len)[-3:]
        cells = max((setter.width(text, body) for text in longest), default=0.0)
    else:
        cells = max(
            (setter.width(word, body) for row in table.rows[:50] for word in row[number].text.split()), default=0.0
        )
        cells = min(cells, 120.0)
    return max(words, unit, cells) + 1.0


def _words(title: str) -> list[str]:
    return title.replace("-", "- ").split()
