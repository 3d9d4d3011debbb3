"""What a hold says in plain sentences: the verdict, and what it means."""

from collections.abc import Iterable

from benchapp.presentation.ground.numbers import (
    NBSP,
    at_places,
    counted,
    digits,
    duration,
    exists,
    give_or_take,
    percent,
    plainly,
    uncertainty_places,
    with_unit,
)
from benchapp.presentation.ground.stick_facts import span_beside_us
from benchapp.records.codes import Flag
from benchapp.records.findings import RunFindings
from benchapp.records.method import FEWEST_HELD_PULSES
from benchapp.records.sweep_findings import DistinctValues, Steadiness
from benchapp.reduction.hold.hold_spread import TOLD_FLOORS

_NOMINAL_SPAN_US = 1000.0
"""From one end to the other of a servo's usual travel, 1.0 to 2.0 ms (common practice, no source). A hold's share of
full travel is of the session's last sweep, where there is one, else of this; the sentence says of which."""


def hold_verdict(run: RunFindings, found: Steadiness) -> str:
    """Return one sentence: how far the servo pulse spread, or why that cannot be told."""
    if not exists(found.peak_to_peak_us):
        return "Cannot tell how steady the servo pulse is: none came while the stick was left alone."
    held = duration(found.held_s)
    if Flag.INSUFFICIENT in run.flags:
        return (
            f"Not enough data: {counted(found.pulses, 'servo pulse')} of the {FEWEST_HELD_PULSES} that a figure needs."
        )
    if found.peak_to_peak_us == 0.0:
        return f"With nothing touched, the servo pulse did not change at all in {held}."
    if found.stick_moved:
        return (
            "Cannot tell how steady the servo pulse is: the stick moved while it was to be left alone. With it, the "
            f"servo pulse went over {digits(found.peak_to_peak_us, 2, 'µs')}."
        )
    where = f" at {counted(len(found.positions), 'position')}" if len(found.positions) > 1 else ""
    start = f"With nothing touched for {held}, the servo pulse"
    if found.told_from_probe is False:
        return f"{start} was steadier than the probe can tell{where}: its spread is below {twice_floor(found)}."
    return f"{start} spread by {spread_words(found)}{where} (standard deviation)."


def hold_meaning(run: RunFindings, found: Steadiness, others: Iterable[RunFindings] = ()) -> tuple[str, ...]:
    """Return sentences that say what the verdict means; others: the session's other runs, for a span to compare.

    Of too few servo pulses only what came is said: how steady they were is the figure that does not stand.
    """
    if not found.pulses:
        return ()
    if Flag.INSUFFICIENT in run.flags:
        return tuple(sentence for sentence in (_values(found.values), _frames(found)) if sentence)
    sentences = [_spread(found), _whole_range(found, others), _values(found.values), _drift(found), _frames(found)]
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


def spread_words(found: Steadiness) -> str:
    """Return the standard deviation with what it lies between: "0.40 µs, 95 % sure between 0.38 µs and 0.42 µs"."""
    low, high = found.sd_ci95_us
    if not (exists(low) and exists(high)) or low == high:
        return digits(found.sd_us, 2, "µs")
    places = uncertainty_places((high - low) / 2)
    between = f"95{NBSP}% sure between {with_unit(low, places, 'µs')} and {with_unit(high, places, 'µs')}"
    return f"{with_unit(found.sd_us, places, 'µs')}, {between}"


def floor_words(found: Steadiness) -> str:
    """Return the spread that the probe itself shows of pulses that are all alike."""
    return digits(found.floor_us, 2, "µs")


def twice_floor(found: Steadiness) -> str:
    """Return the spread below which the probe cannot tell, and where it comes from."""
    twice = None if not exists(found.floor_us) else TOLD_FLOORS * found.floor_us
    return f"{digits(twice, 2, 'µs')}, twice what the probe shows of pulses that are all alike"


def _spread(found: Steadiness) -> str:
    if not exists(found.sd_us) or not exists(found.floor_us) or found.sd_us == 0.0:
        return ""
    if found.told_from_probe is False:
        return f"What was seen is {spread_words(found)}; most of it may be the probe's own."
    return f"The probe's own share of that is {floor_words(found)}: it would show as much of pulses that are all alike."


def _whole_range(found: Steadiness, others: Iterable[RunFindings]) -> str:
    share, of = wander_pct(found, others)
    if not share:
        return ""
    longest = digits(found.peak_to_peak_us, 2, "µs")
    return (
        f"In {duration(found.held_s)} the longest pulse less the shortest was {longest}, {plainly(share, 2, '%')} of "
        f"{of}. That figure grows with the time held: compare it only between holds of the same length."
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
    if not found.drift_resolved:
        return "No drift to one side could be told from chance and wandering."
    size = give_or_take(abs(found.drift_us_per_min), found.drift_half_us_per_min, "µs a minute")
    way = "longer" if found.drift_us_per_min > 0 else "shorter"
    return f"It slowly grew {way}, by {size}."


def period_words(found: Steadiness) -> str:
    """Return the mean frame period to the place that the probe's clock leaves a meaning."""
    if not exists(found.frame_period_u_ms):
        return digits(found.frame_period_ms, 5, "ms")
    return with_unit(found.frame_period_ms, uncertainty_places(found.frame_period_u_ms) - 1, "ms")


def _frames(found: Steadiness) -> str:
    if not exists(found.frame_period_ms):
        return ""
    missing = (
        counted(found.missing_pulses, "servo pulse was", "servo pulses were") if found.missing_pulses else "none was"
    )
    every = f"A servo pulse came every {period_words(found)}"
    return f"{every}, the longest wait was {digits(found.longest_gap_ms, 4, 'ms')}, and {missing} missing."
