"""Pieces laid on pages in bands: across the whole width, or in two columns of one height."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from benchapp.report.pdf_pages import Piece, Placed, laid_on_pages

COLUMNS = 2
_LEAST_BAND = 70.0
"""A band in columns does not begin in less room than this at the foot of a page [pt]."""
_STEP = 4.0


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Band:
    """Pieces that go across, or flow down two columns; opens_sheet: they begin a new page."""

    pieces: tuple[Piece, ...]
    in_columns: bool = False
    opens_sheet: bool = False


def laid_in_bands(bands: Iterable[Band], page_height: float, *, column_left: float) -> list[list[Placed]]:
    """Return the pages, each with its pieces. column_left : where the second column begins [pt].

    The columns of a band that fits on its page end at one height as nearly as their pieces allow.
    """
    pages: list[list[Placed]] = [[]]
    used = 0.0
    for band in bands:
        if band.opens_sheet and used > 0.0:
            pages.append([])
            used = 0.0
        if band.in_columns:
            used = _lay_columns(band.pieces, pages, used, page_height, column_left)
        else:
            used = _lay_across(band.pieces, pages, used, page_height)
    return pages


def _lay_across(pieces: Sequence[Piece], pages: list[list[Placed]], used: float, page_height: float) -> float:
    laid = laid_on_pages(pieces, page_height, used=used)
    for number, page in enumerate(laid):
        if number:
            pages.append([])
        pages[-1] += page
    last = laid[-1]
    if last:
        return last[-1].top + last[-1].piece.height
    return used if len(laid) == 1 else 0.0


def _lay_columns(
    pieces: Sequence[Piece], pages: list[list[Placed]], used: float, page_height: float, column_left: float
) -> float:
    left = list(pieces)
    while left:
        if used > 0.0 and page_height - used < _LEAST_BAND:
            pages.append([])
            used = 0.0
        above = left[0].space_above if used > 0.0 else 0.0
        room = page_height - used - above
        columns = _level(left, room)[:COLUMNS]
        for number, column in enumerate(columns):
            across = number * column_left
            pages[-1] += [replace(placed, top=placed.top + used + above, left=across) for placed in column]
        left = left[_taken(columns, left) :]
        deepest = max((placed.top + placed.piece.height for column in columns for placed in column), default=0.0)
        used += above + deepest
        if left:
            pages.append([])
            used = 0.0
    return used


def _level(pieces: Sequence[Piece], room: float) -> list[list[Placed]]:
    """Return the columns, as low as two of them can be; of full height where two do not hold everything."""
    full = laid_on_pages(pieces, room)
    if len(full) > COLUMNS:
        return full
    whole = sum(piece.height + piece.space_above for piece in pieces)
    height = min(max(whole / COLUMNS - 40.0, _tallest_chain(pieces)), room)
    while height < room:
        columns = laid_on_pages(pieces, height)
        if len(columns) <= COLUMNS and _deepest(columns) <= height:
            return columns
        height += _STEP
    return full


def _tallest_chain(pieces: Sequence[Piece]) -> float:
    """Return the height of the tallest pieces that stay together, so that no level parts them."""
    tallest = chain = 0.0
    for piece in pieces:
        chain += piece.space_above + piece.height
        tallest = max(tallest, chain)
        chain = chain if piece.keep_next else 0.0
    return tallest


def _deepest(columns: Sequence[Sequence[Placed]]) -> float:
    return max((placed.top + placed.piece.height for column in columns for placed in column), default=0.0)


def _taken(columns: Sequence[Sequence[Placed]], pieces: Sequence[Piece]) -> int:
    """Return how many of the pieces were laid; a table's head that came again is none of them."""
    number = 0
    for column in columns:
        for placed in column:
            if number < len(pieces) and placed.piece is pieces[number]:
                number += 1
    return number
