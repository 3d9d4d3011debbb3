"""Every pair of a comparison as a table in CSV (RFC 4180): dot decimals, UTF-8, inert text."""

from collections.abc import Iterator, Sequence

from benchapp.presentation.ground.page import PRACTICE_MARK
from benchapp.records.comparison import Comparison, Pair
from benchapp.report.csv_cells import cell_text, number_text, table_text

COLUMNS = (
    "set_a", "set_b", "origin", "verdict", "shift_ms", "low_ms", "high_ms", "level", "dof", "at_most_ms", "p",
    "p_adjusted", "hl_shift_ms", "hl_low_ms", "hl_high_ms", "mw_p", "reason", "more_switch_ons", "more_days",
    "more_flips", "alike", "differs_in",
)  # fmt: skip
"""Header row. shift is b less a; a value that does not exist is an empty cell."""


def pairs_csv(comparison: Comparison, labels: Sequence[str]) -> str:
    """Return the table as text with CRLF line ends, one row a pair; practice rows say so."""
    return table_text(COLUMNS, (tuple(_cells(pair, comparison, labels)) for pair in comparison.pairs))


def _cells(pair: Pair, comparison: Comparison, labels: Sequence[str]) -> Iterator[str]:
    yield from (cell_text(labels[pair.a]), cell_text(labels[pair.b]))
    yield cell_text(_origin(pair, comparison))
    yield cell_text(pair.verdict)
    low, high = pair.shift_ci_ms or (None, None)
    numbers = (pair.shift_ms, low, high, pair.level, pair.dof, pair.at_most_ms, pair.p, pair.p_adjusted)
    yield from (number_text(value) for value in numbers)
    hl_low, hl_high = pair.hl_ci95_ms or (None, None)
    yield from (number_text(value) for value in (pair.hl_shift_ms, hl_low, hl_high, pair.mw_p))
    yield cell_text(pair.reason or "")
    yield from ("" if number is None else str(number) for number in _more(pair))
    yield "" if pair.alike is None else ("yes" if pair.alike else "no")
    yield cell_text(" ".join(pair.differs_in))


def _more(pair: Pair) -> tuple[int | None, int | None, int | None]:
    more = pair.more
    return (None, None, None) if more is None else (more.switch_ons, more.days, more.flips)


def _origin(pair: Pair, comparison: Comparison) -> str:
    origins = [own.likeness.origin for own in (comparison.sets[pair.a], comparison.sets[pair.b]) if own.likeness]
    return PRACTICE_MARK if "practice" in origins else "real"
