"""Cells of a CSV (RFC 4180) that any spreadsheet takes and none takes for a formula."""

import math
from collections.abc import Iterable

from benchapp.presentation.ground.cleaning import clean

# A spreadsheet takes a cell that begins with one of these for a formula, the wide forms included.
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")
_QUOTED = (",", '"', "\r", "\n")


def number_text(value: float | None, places: int = 6) -> str:
    """Return a number with a decimal point, or an empty cell where there is none."""
    return f"{value:.{places}f}" if value is not None and math.isfinite(value) else ""


def seconds_text(at_ns: int) -> str:
    """Return an instant in seconds: whole nanoseconds are written exactly, without a float in between."""
    sign = "-" if at_ns < 0 else ""
    return f"{sign}{abs(at_ns) // 1_000_000_000}.{abs(at_ns) % 1_000_000_000:09d}"


def cell_text(value: str) -> str:
    """Return text clipped and cleaned, made inert, and quoted where it must be."""
    line = clean(value)
    if line.startswith(_FORMULA_STARTS):
        line = "'" + line
    if any(mark in line for mark in _QUOTED):
        return '"' + line.replace('"', '""') + '"'
    return line


def table_text(columns: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    """Return header and rows as text with CRLF line ends; the cells must be fit already."""
    return "\r\n".join(",".join(row) for row in (columns, *rows)) + "\r\n"
