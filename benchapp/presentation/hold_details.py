"""What a hold says, as labels with values."""

from collections.abc import Iterable

from benchapp.presentation.hold_verdict import wander_pct
from benchapp.presentation.numbers import DASH, at_places, counted, digits, duration, exists, plainly
from benchapp.presentation.page import Row
from benchapp.presentation.stick_reasons import missing_steadiness
from benchapp.records.findings import RunFindings
from benchapp.records.sweep_findings import Steadiness


def hold_details(found: Steadiness, others: Iterable[RunFindings] = ()) -> tuple[Row, ...]:
    """Return the rows; a value that does not exist is a dash with its reason."""
    return tuple(_rows(found, tuple(others)))


def _rows(found: Steadiness, others: tuple[RunFindings, ...]) -> Iterable[Row]:
    why = missing_steadiness(found)

    def said(label: str, value: str, name: str) -> Row:
        return Row(label=label, value=value if value != DASH else f"{DASH} {why.get(name, 'not known')}")

    share, of = wander_pct(found, others)
    beside = f" ({plainly(share, 2, '%')} of {of})" if exists(share) else ""
    count = DASH if found.values is None else counted(found.values.count, "different value")
    yield Row(label="Held for", value=f"{duration(found.held_s)}, {counted(found.pulses, 'servo pulse')}")
    yield said("Wander, least to most", _joined(digits(found.peak_to_peak_us, 3, "µs"), beside), "peak_to_peak_us")
    yield said("Standard deviation", digits(found.sd_us, 3, "µs"), "sd_us")
    yield said("Different values", count, "distinct_values")
    yield said("Middle value", _us(found.median_us), "peak_to_peak_us")
    yield said("Drift", _drift(found), "drift_us_per_min")
    yield said("Frame period, mean", digits(found.frame_period_ms, 7, "ms"), "frame_period_ms")
    yield said("Frame period, standard deviation", digits(found.frame_sd_us, 2, "µs"), "frame_sd_us")
    yield said("Longest wait for a servo pulse", digits(found.longest_gap_ms, 5, "ms"), "longest_gap_ms")
    missing = DASH if "missing_pulses" in why else counted(found.missing_pulses, "servo pulse")
    yield said("Missing", missing, "missing_pulses")


def _joined(value: str, beside: str) -> str:
    return value if value == DASH else f"{value}{beside}"


def _us(value: float | None) -> str:
    return DASH if not exists(value) else f"{at_places(value, 2)} µs"


def _drift(found: Steadiness) -> str:
    if not exists(found.drift_us_per_min):
        return DASH
    sure = f", standard uncertainty {digits(found.drift_u_us_per_min, 2, 'µs')}" if found.drift_u_us_per_min else ""
    return f"{digits(found.drift_us_per_min, 2, 'µs')} a minute{sure}"
