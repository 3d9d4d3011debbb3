"""Cells and tables whose dashes always come with their reason."""

from collections.abc import Iterable, Sequence

from benchapp.presentation.ground.numbers import DASH, at_places
from benchapp.presentation.ground.page import Cell, Column, Table


def number_cell(value: float | None, places: int, why: str) -> Cell:
    """Return a number, or a dash with the reason why there is none."""
    text = at_places(value, places)
    return Cell(text=text, why=why if text == DASH else "")


def with_reasons(
    key: str,
    caption: str,
    columns: Sequence[Column],
    rows: Iterable[Sequence[Cell]],
    *,
    notes: Sequence[str] = (),
    splits: bool = False,
    by_request: bool = False,
) -> Table:
    """Return the table, its notes ending with the reason of every dash in it, each reason once."""
    body = tuple(tuple(row) for row in rows)
    reasons = dict.fromkeys(cell.why for row in body for cell in row if cell.why)
    dashes = (f"{DASH} stands where there is no value: {'; '.join(reasons)}.",) if reasons else ()
    return Table(
        key=key,
        caption=caption,
        columns=tuple(columns),
        rows=body,
        notes=(*notes, *dashes),
        splits=splits,
        by_request=by_request,
    )
