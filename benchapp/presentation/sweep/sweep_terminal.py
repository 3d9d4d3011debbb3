"""A sweep of the stick as plain text for a terminal."""

from collections.abc import Iterator

from benchapp.presentation.ground.numbers import DASH, at_places, digits, exists
from benchapp.presentation.ground.terminal import WIDE, frame_lines, text_row
from benchapp.presentation.ground.wording import budget_words
from benchapp.presentation.sweep.sweep_details import sweep_details
from benchapp.presentation.sweep.sweep_rows import SweepRow, row_places, sweep_rows
from benchapp.records.findings import RunFindings
from benchapp.records.sweep_findings import Linearity


def sweep_lines(run: RunFindings, found: Linearity) -> Iterator[str]:
    """Yield the figures of a sweep in both units, its details, its budget and the output's frame."""
    yield ""
    if exists(found.span_us):
        yield _wide("", f"{'µs':>10}{'% of full travel':>19}")
        places = row_places(found)
        yield from (_wide(row.name, _figures(row, *places)) for row in sweep_rows(found, run.notes))
        yield _wide("", "")
    yield from (_wide(row.label, row.value) for row in sweep_details(run, found))
    for line in found.uncertainty:
        yield _wide("Uncertainty", f"{digits(line.standard_pct, 2, '%')}  {budget_words(line.source)}")
    yield from frame_lines(run)


def _wide(label: str, text: str) -> str:
    return text_row(label, text, width=WIDE)


def _figures(row: SweepRow, us_places: int, pct_places: int) -> str:
    if not exists(row.pct):
        return f"{DASH:>10}{DASH:>19}  {row.why}"
    return f"{at_places(row.us, us_places):>10}{at_places(row.pct, pct_places):>19}  {row.sure}".rstrip()
