"""The table of flips: every one that counts, and every one left out with its reason."""

from collections.abc import Iterable, Iterator

from benchapp.presentation.ground.wording import exclusion_reason
from benchapp.records.findings import Excluded, Latency, Trial
from benchapp.report.csv_cells import cell_text, number_text, seconds_text
from benchapp.report.filed_test import Row

COLUMNS = (
    "flip", "at_s", "direction", "counted",
    "first_ms", "mid_ms", "near_final_ms", "first_lead_ms", "mid_lead_ms", "near_final_lead_ms",
    "phase_fraction_of_frame", "missing_pulses", "switch_on", "before_us", "after_us",
    "left_out_code", "left_out_reason", "left_out_mid_ms",
)  # fmt: skip
"""A flip that was left out has counted "no" and no latency among those that count."""


def trial_rows(latency: Latency) -> Iterator[Row]:
    """Yield the cells of every flip, answered or left out, in the order of time."""
    rows = [(trial.flip, _trial_cells(trial)) for trial in latency.trials]
    rows += [(flip.flip, _excluded_cells(flip, latency)) for flip in latency.excluded]
    for _, cells in sorted(rows, key=lambda row: row[0]):
        yield cells


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
