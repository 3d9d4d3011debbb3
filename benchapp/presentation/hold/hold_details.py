"""What a hold says, as labels with values."""

from collections.abc import Iterable

from benchapp.presentation.ground.numbers import DASH, counted, digits, duration, exists, give_or_take, plainly
from benchapp.presentation.ground.page import Row
from benchapp.presentation.ground.stick_facts import give_words, length_words
from benchapp.presentation.ground.stick_reasons import missing_steadiness
from benchapp.presentation.hold.hold_verdict import floor_words, period_words, spread_words, wander_pct
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
    yield said("Spread (standard deviation)", spread_words(found) if exists(found.sd_us) else DASH, "sd_us")
    yield Row(label="The probe's own spread", value=_floor(found))
    longest = digits(found.peak_to_peak_us, 3, "µs")
    yield said(f"Longest less shortest, in {duration(found.held_s)}", _joined(longest, beside), "peak_to_peak_us")
    yield said("Different values", count, "distinct_values")
    yield said("Middle value", _middle(found), "peak_to_peak_us")
    yield said("Drift", _drift(found), "drift_us_per_min")
    yield said("Frame period, mean", period_words(found) if exists(found.frame_period_ms) else DASH, "frame_period_ms")
    yield said("Frame period, standard deviation", digits(found.frame_sd_us, 2, "µs"), "frame_sd_us")
    yield said("Longest wait for a servo pulse", digits(found.longest_gap_ms, 5, "ms"), "longest_gap_ms")
    missing = DASH if "missing_pulses" in why else counted(found.missing_pulses, "servo pulse")
    yield said("Missing", missing, "missing_pulses")


def _joined(value: str, beside: str) -> str:
    return value if value == DASH else f"{value}{beside}"


def _floor(found: Steadiness) -> str:
    if not exists(found.floor_us):
        return f"{DASH} not known"
    told = {
        True: "the pulse's is more than twice that",
        False: "the pulse's is below twice that: steadier than the probe can tell",
    }
    beside = f"; {told[found.told_from_probe]}" if found.told_from_probe is not None else ""
    return f"{floor_words(found)}{beside}"


def _middle(found: Steadiness) -> str:
    if not exists(found.median_us):
        return DASH
    return f"{length_words(found.median_us, found.median_u_us)}{give_words(found.median_u_us)}"


def _drift(found: Steadiness) -> str:
    if not exists(found.drift_us_per_min):
        return DASH
    if not found.drift_resolved:
        half = found.drift_half_us_per_min
        most = f": at most {digits(abs(found.drift_us_per_min) + half, 2, 'µs')} a minute" if exists(half) else ""
        return f"none that could be told from chance and wandering{most}"
    return give_or_take(found.drift_us_per_min, found.drift_half_us_per_min, "µs a minute")
