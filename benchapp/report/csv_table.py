"""Every flip of a session as a table in CSV (RFC 4180): dot decimals, UTF-8, inert text."""

import math
from collections.abc import Iterable, Iterator

from benchapp.presentation.cleaning import clean
from benchapp.presentation.page import PRACTICE_MARK
from benchapp.presentation.wording import exclusion_reason
from benchapp.records.findings import Excluded, Latency, RunFindings, SessionFindings, Trial
from benchapp.records.run import Origin, SessionFacts

COLUMNS = (
    "session", "origin", "evidence_code", "run", "test", "flip", "at_s", "direction", "counted",
    "first_ms", "mid_ms", "near_final_ms", "first_lead_ms", "mid_lead_ms", "near_final_lead_ms",
    "phase_fraction_of_frame", "missing_pulses", "switch_on", "before_us", "after_us",
    "left_out_code", "left_out_reason", "left_out_mid_ms",
)  # fmt: skip
"""Header row. A flip that was left out has counted "no" and no latency among those that count."""

# A spreadsheet takes a cell that begins with one of these for a formula, the wide forms included.
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")
_QUOTED = (",", '"', "\r", "\n")


def trials_csv(facts: SessionFacts, findings: SessionFindings) -> str:
    """Return the table as text with CRLF line ends: one row a flip, in time order within each run.

    Text is clipped, freed of control and bidi characters, and begins with ' where a spreadsheet would take it for a
    formula; numbers are never prefixed. A value that does not exist is an empty cell. Practice rows say so.
    """
    rows = [",".join(COLUMNS)]
    head = _session_cells(facts)
    for run in findings.runs:
        if run.latency is not None:
            rows += [",".join((*head, *cells)) for cells in _run_rows(run, run.latency)]
    return "\r\n".join(rows) + "\r\n"


def _session_cells(facts: SessionFacts) -> tuple[str, ...]:
    origin = PRACTICE_MARK if facts.origin is Origin.PRACTICE else facts.origin.value
    return (_text(facts.name), _text(origin), _text(facts.evidence_hash))


def _run_rows(run: RunFindings, latency: Latency) -> Iterator[tuple[str, ...]]:
    head = (str(run.run), _text(run.test))
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
        _seconds(trial.at_ns),
        _text(trial.direction),
        "yes",
        *_numbers(latencies),
        _number(trial.phase),
        str(trial.missing_pulses),
        str(trial.block),
        _number(trial.before_us, 3),
        _number(trial.after_us, 3),
        *("", "", ""),
    )


def _excluded_cells(flip: Excluded, latency: Latency) -> tuple[str, ...]:
    reason = exclusion_reason(flip, window_s=latency.window_s)
    return (
        str(flip.flip),
        _seconds(flip.at_ns),
        _text(flip.direction or ""),
        "no",
        *("",) * 11,
        _text(flip.code),
        _text(reason),
        _number(flip.mid_ms),
    )


def _numbers(values: Iterable[float | None]) -> tuple[str, ...]:
    return tuple(_number(value) for value in values)


def _number(value: float | None, places: int = 6) -> str:
    return f"{value:.{places}f}" if value is not None and math.isfinite(value) else ""


def _seconds(at_ns: int) -> str:
    # Whole nanoseconds are written exactly, without a float in between.
    sign = "-" if at_ns < 0 else ""
    return f"{sign}{abs(at_ns) // 1_000_000_000}.{abs(at_ns) % 1_000_000_000:09d}"


def _text(value: str) -> str:
    line = clean(value)
    if line.startswith(_FORMULA_STARTS):
        line = "'" + line
    if any(mark in line for mark in _QUOTED):
        return '"' + line.replace('"', '""') + '"'
    return line
