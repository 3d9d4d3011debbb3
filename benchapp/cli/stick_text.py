"""Findings of stick tests as plain text for a terminal."""

from collections.abc import Iterator, Sequence

from benchapp.presentation.ground.numbers import DASH, at_places, digits, exists
from benchapp.presentation.ground.wording import budget_words
from benchapp.presentation.hold.hold_details import hold_details
from benchapp.presentation.sweep.sweep_details import sweep_details
from benchapp.presentation.sweep.sweep_rows import SweepRow, row_places, sweep_rows
from benchapp.records.findings import RunFindings

Line = tuple[str, str]
"""A label and its text."""


def stick_lines(run: RunFindings, others: Sequence[RunFindings]) -> Iterator[Line]:
    """Return the figures of a sweep in both units, its details and its budget, or the figures of a hold."""
    if run.linearity is not None:
        if exists(run.linearity.span_us):
            yield ("", f"{'µs':>10}{'% of full travel':>19}")
            places = row_places(run.linearity)
            yield from ((row.name, _figures(row, *places)) for row in sweep_rows(run.linearity, run.notes))
            yield ("", "")
        yield from ((row.label, row.value) for row in sweep_details(run, run.linearity))
        for line in run.linearity.uncertainty:
            yield ("Uncertainty", f"{digits(line.standard_pct, 2, '%')}  {budget_words(line.source)}")
    if run.steadiness is not None:
        yield from ((row.label, row.value) for row in hold_details(run.steadiness, others))


def _figures(row: SweepRow, us_places: int, pct_places: int) -> str:
    if not exists(row.pct):
        return f"{DASH:>10}{DASH:>19}  {row.why}"
    return f"{at_places(row.us, us_places):>10}{at_places(row.pct, pct_places):>19}  {row.sure}".rstrip()
