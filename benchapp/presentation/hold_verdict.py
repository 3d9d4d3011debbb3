"""What a hold says in plain sentences: the verdict, and what it means."""

from collections.abc import Iterable

from benchapp.presentation.numbers import (
    NBSP,
    at_places,
    counted,
    digits,
    duration,
    exists,
    give_or_take,
    percent,
    plainly,
)
from benchapp.presentation.sweep_facts import span_beside_us
from benchapp.records.findings import RunFindings
from benchapp.records.sweep_findings import DistinctValues, Steadiness

_NOMINAL_SPAN_US = 1000.0
"""From one end to the other of a servo's usual travel, 1.0 to 2.0 ms (common practice, no source)."""
_TELLS_DRIFT = 2.0
PULSES_FOR_A_FIGURE = 100


def hold_verdict(run: RunFindings, found: Steadiness) -> str:
    """Return one sentence: how far the servo pulse wandered, or why that cannot be told."""
    if not exists(found.peak_to_peak_us):
        return "Cannot tell how steady the servo pulse is: none came while the stick was left alone."
    held = duration(found.held_s)
    if "insufficient" in run.flags:
        return (
            f"Not enough data: {counted(found.pulses, 'servo pulse')} of the {PULSES_FOR_A_FIGURE} that a figure needs."
        )
    if found.peak_to_peak_us == 0.0:
        return f"With nothing touched, the servo pulse did not change at all in {held}."
    wander = digits(found.peak_to_peak_us, 2, "µs")
    if found.stick_moved:
        return (
            "Cannot tell how steady the servo pulse is: the stick moved while it was to be left alone. With it, the "
            f"servo pulse went over {wander}."
        )
    where = f" at any of {counted(len(found.positions), 'position')}" if len(found.positions) > 1 else ""
    return f"With nothing touched for {held}, the servo pulse wandered by {wander} at most{where}."


def hold_meaning(run: RunFindings, found: Steadiness, others: Iterable[RunFindings] = ()) -> tuple[str, ...]:
    """Return sentences that say what the verdict means; others: the session's other runs, for a span to compare."""
    if not found.pulses:
        return ()
    sentences = [_share(found, others), _usual(found), _values(found.values), _drift(found), _frames(found)]
    return tuple(sentence for sentence in sentences if sentence)


def wander_pct(found: Steadiness, others: Iterable[RunFindings]) -> tuple[float | None, str]:
    """Return the wander in % of output span, and whose span that is, in words."""
    span_us = span_beside_us(others)
    of = "the full travel of this session's sweep"
    if span_us is None:
        span_us, of = _NOMINAL_SPAN_US, f"a usual full travel of {_NOMINAL_SPAN_US:.0f}{NBSP}µs"
    if not exists(found.peak_to_peak_us):
        return None, of
    return 100.0 * found.peak_to_peak_us / span_us, of


def _share(found: Steadiness, others: Iterable[RunFindings]) -> str:
    share, of = wander_pct(found, others)
    return "" if not share else f"That is {plainly(share, 2, '%')} of {of}."


def _usual(found: Steadiness) -> str:
    if not exists(found.sd_us) or found.sd_us == 0.0:
        return ""
    return (
        f"The usual distance of a servo pulse from the middle is {digits(found.sd_us, 2, 'µs')} (standard deviation)."
    )


def _values(values: DistinctValues | None) -> str:
    if values is None or not values.count:
        return ""
    if values.count == 1:
        return f"Every servo pulse lasted {at_places(float(values.us[0]), 2)}{NBSP}µs."
    most = int(values.counts.argmax())
    share = float(values.counts[most]) / float(values.counts.sum())
    commonest = f"{at_places(float(values.us[most]), 2)}{NBSP}µs"
    return f"{values.count} different values came; the commonest, {commonest}, made up {percent(share)}."


def _drift(found: Steadiness) -> str:
    if not exists(found.drift_us_per_min) or not exists(found.drift_u_us_per_min):
        return ""
    size = give_or_take(abs(found.drift_us_per_min), _TELLS_DRIFT * found.drift_u_us_per_min, "µs a minute")
    if abs(found.drift_us_per_min) <= _TELLS_DRIFT * found.drift_u_us_per_min:
        return "No drift to one side could be told from chance."
    way = "longer" if found.drift_us_per_min > 0 else "shorter"
    return f"It slowly grew {way}, by {size}."


def _frames(found: Steadiness) -> str:
    if not exists(found.frame_period_ms):
        return ""
    missing = (
        counted(found.missing_pulses, "servo pulse was", "servo pulses were") if found.missing_pulses else "none was"
    )
    every = f"A servo pulse came every {digits(found.frame_period_ms, 5, 'ms')}"
    return f"{every}, the longest wait was {digits(found.longest_gap_ms, 4, 'ms')}, and {missing} missing."
