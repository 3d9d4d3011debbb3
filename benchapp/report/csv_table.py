"""Every flip of a session as a table in CSV (RFC 4180): dot decimals, UTF-8, inert text."""

from collections.abc import Iterable, Iterator

from benchapp.presentation.ground.page import PRACTICE_MARK
from benchapp.presentation.ground.wording import exclusion_reason
from benchapp.records.findings import Excluded, Latency, RunFindings, SessionFindings, Trial
from benchapp.records.run import Origin, SessionFacts
from benchapp.report.csv_cells import cell_text, number_text, seconds_text, table_text

COLUMNS = (
    "session", "origin", "evidence_code", "run", "test", "flip", "at_s", "direction", "counted",
    "first_ms", "mid_ms", "near_final_ms", "first_lead_ms", "mid_lead_ms", "near_final_lead_ms",
    "phase_fraction_of_frame", "missing_pulses", "switch_on", "before_us", "after_us",
    "left_out_code", "left_out_reason", "left_out_mid_ms",
)  # fmt: skip
"""Header row. A flip that was left out has counted "no" and no latency among those that count."""


def trials_csv(facts: SessionFacts, findings: SessionFindings) -> str:
    """Return the table as text with CRLF line ends: one row a flip, in time order within each run.

    Text is clipped, freed of control and bidi characters, and begins with ' where a spreadsheet would take it for a
    formula; numbers are never prefixed. A value that does not exist is an empty cell. Practice rows say so.
    """
    head = session_cells(facts)
    rows = [
        (*head, *cells) for run in findings.runs if run.latency is not None for cells in _run_rows(run, run.latency)
    ]
    return table_text(COLUMNS, rows)


def session_cells(facts: SessionFacts) -> tuple[str, ...]:
    """Return what every row begins with: the session, where it is from (practice says so), its evidence code."""
    origin = PRACTICE_MARK if facts.origin is Origin.PRACTICE else facts.origin.value
    return (cell_text(facts.name), cell_text(origin), cell_text(facts.evidence_hash))


def _run_rows(run: RunFindings, latency: Latency) -> Iterator[tuple[str, ...]]:
    head = (str(run.run), cell_text(run.test))
    rows = [(trial.flip, _trial_cells(trial)) for trial in latency.trials]
    rows += [(flip.flip, _excluded_cells(flip, latency)) for flip in latency.excluded]
    for _, cells in sorted(rows, key=lambda row: row[0]):
        yield (*head, *cells)


def _trial_cells(trial: Trial) -> tuple[str, ...]:
    latencies = (
        trial.first_ms, trial.mid_ms, trial.near_final_ms,
        trial.first_lead_ms, trial.mid_lead_ms, trial.near_final_lead_ms,
    )  # fmt: skip
    return (
        str(trial.flip),
        seconds_text(trial.at_ns),
        cell_text(trial.direction),
        "yes",
        *_numbers(latencies),
        number_text(trial.phase),
        str(trial.missing_pulses),
        str(trial.block),
        number_text(trial.before_us, 3),
        number_text(trial.after_us, 3),
        *("", "", ""),
    )


def _excluded_cells(flip: Excluded, latency: Latency) -> tuple[str, ...]:
    reason = exclusion_reason(flip, window_s=latency.window_s)
    return (
        str(flip.flip),
        seconds_text(flip.at_ns),
        cell_text(flip.direction or ""),
        "no",
        *("",) * 11,
        cell_text(flip.code),
        cell_text(reason),
        number_text(flip.mid_ms),
    )


def _numbers(values: Iterable[float | None]) -> tuple[str, ...]:
    return tuple(number_text(value) for value in values)
