"""What a sweep of the stick says in plain sentences: the verdict, and what it means."""

import math
from collections.abc import Iterable

from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.numbers import (
    counted,
    digits,
    exists,
    give_or_take,
    grouped,
    in_words,
    percent,
    plainly,
    with_unit,
)
from benchapp.presentation.ground.stick_facts import (
    AT_MOST,
    at_most_pct,
    delay_half_width_ms,
    expected_flip_ms,
    flat_pct,
    flip_beside,
    give_words,
    hysteresis_half_width_pct,
    length_words,
    off_cubic_words,
    signed_words,
    step_pct,
    straight_words,
    width_words,
)
from benchapp.presentation.ground.stick_reasons import BOTH_UNTOLD, by_stops, no_curve
from benchapp.presentation.ground.wording import budget_words
from benchapp.presentation.sweep.sweep_rows import repeats_words
from benchapp.records.codes import Flag
from benchapp.records.findings import RunFindings
from benchapp.records.method import NOMINAL_CENTRE_US
from benchapp.records.sweep_findings import Linearity, ShareLine


def sweep_verdict(run: RunFindings, found: Linearity) -> str:
    """Return one sentence: how straight the stick's travel is, or why that cannot be told."""
    line = found.lines.get("independent")
    if line is None or not exists(line.deviation_pct):
        return f"Cannot tell how straight the stick's travel is: {no_curve(run.notes)}."
    if Flag.INSUFFICIENT in run.flags:
        done = in_words(found.cycles)
        return f"Not enough data: {done} of the three full cycles, there and back, that a figure needs."
    straight = straight_words(line, of=" of full travel")
    if at_most_pct(line) is not None:
        straight = f"{straight.removeprefix(AT_MOST)} at most"
    if found.smooth_curve:
        straight = f"{straight}: a smooth curve, as an expo setting gives; off it by {off_cubic_words(found)}"
    return f"Your stick's travel is straight to within {straight}{_centre(found)}."


def _centre(found: Linearity) -> str:
    flat = flat_pct(found)
    if flat is None:
        return ""
    if flat == 0.0:
        return "; around the centre even the smallest movement shows"
    return f"; around the centre {plainly(flat, 2, '%')} of stick movement does nothing"


def sweep_meaning(run: RunFindings, found: Linearity, others: Iterable[RunFindings] = ()) -> tuple[str, ...]:
    """Return sentences that say what the verdict means, the most useful first; empty where there is no curve.

    others : the session's other runs, one of which may have timed flips
    """
    if not exists(found.span_us):
        return ()
    sentences = [
        _travel(found, straight=Flag.INSUFFICIENT not in run.flags),
        _ends(found),
        _middle(found),
        _apart(found),
        _lag(run, found, others),
        _turning(found),
        _repeats(found),
        _steps(found),
        _again(found),
        _goes_back(found),
        _largest_line(found.uncertainty),
    ]
    return tuple(sentence for sentence in sentences if sentence)


def _travel(found: Linearity, *, straight: bool) -> str:
    """Return where the ends lie, and how straight it is between them where there is enough to say so."""
    low, high = (length_words(us, u) for us, u in ((found.low_us, found.low_u_us), (found.high_us, found.high_u_us)))
    ends = f"Full travel takes the servo pulse from {low} to {high}, {_all(found)}."
    if not straight:
        return ends
    line = found.lines["independent"]
    most = at_most_pct(line)
    off = digits((line.deviation_pct if most is None else most) * (found.span_us or 0.0) / 100.0, 2, "µs")
    return f"{ends} Half-way between coming up and going down it is never more than {off} from the best straight line."


def _all(found: Linearity) -> str:
    if exists(found.span_u_us):
        return f"{length_words(found.span_us, found.span_u_us)} in all{give_words(found.span_u_us)}"
    return f"{digits(found.span_us, 4, 'µs')} in all"


def _ends(found: Linearity) -> str:
    ends = [name for name, clipped in (("low", found.clipped_low), ("high", found.clipped_high)) if clipped]
    if not ends:
        return ""
    where = f"At the {ends[0]} end" if len(ends) == 1 else "At both ends"
    return f"{where} the servo pulse stops before the stick does: the figures are for the part where it follows."


def _middle(found: Linearity) -> str:
    if not exists(found.centre_us) or not exists(found.centre_offset_us):
        return ""
    off = abs(found.centre_offset_us)
    way = "longer" if found.centre_offset_us > 0 else "shorter"
    usual = with_unit(NOMINAL_CENTRE_US, 0, "µs")
    length = f"{length_words(found.centre_us, found.centre_u_us)}{give_words(found.centre_u_us)}"
    middle = f"With the stick in the middle of its travel the servo pulse is {length}"
    if off <= (found.centre_u_us or 0.05):
        return f"{middle}: the usual {usual}, as far as can be told."
    return f"{middle}, {digits(off, 2, 'µs')} {way} than the usual {usual}."


def _apart(found: Linearity) -> str:
    if not exists(found.hysteresis_us):
        return f"{BOTH_UNTOLD}." if found.told_apart_why_not and not by_stops(found) else ""
    size = f"{digits(found.hysteresis_us, 2, 'µs')} ({plainly(found.hysteresis_pct, 2, '%')} of full travel)"
    if found.hysteresis_resolved is False:
        return f"Coming up and going down cannot be told apart: the largest difference, {size}, may be noise alone."
    told = f"Between coming up and going down the servo pulse differs by up to {size}"
    if not exists(found.fitted_hysteresis_pct):
        return f"{told}."
    return f"{told}; on average by {_fitted(found)}."


def _fitted(found: Linearity) -> str:
    return signed_words(found.fitted_hysteresis_pct, hysteresis_half_width_pct(found))


def _lag(run: RunFindings, found: Linearity, others: Iterable[RunFindings]) -> str:
    if not exists(found.delay_ms):
        return ""
    give = delay_half_width_ms(found)
    lag = give_or_take(found.delay_ms, give, "ms")
    told = f"A servo pulse begins with what the stick said some time earlier; this lag is {lag}"
    expected = expected_flip_ms(run, found)
    if expected is None:
        return f"{told}."
    whole = digits(expected, 3, "ms")
    return (
        f"{told}. A flip waits half a frame more, and for the pulse itself: about {whole} in all"
        f"{_flips(others, expected, give)}."
    )


def _flips(others: Iterable[RunFindings], expected: float, give: float | None) -> str:
    """Hold what the lag leads to expect of a flip against the flips of the same session; give: the lag's."""
    beside = flip_beside(others)
    if beside is None:
        return ""
    other, latency = beside
    headline = latency.headline
    value = headline.value_ms
    if not exists(value):
        return ""
    took = f"; the flips of run {other.run} took {digits(value, 3, 'ms')}"
    if abs(value - expected) <= math.hypot(headline.expanded_uncertainty_ms or 0.0, give or 0.0):
        return f"{took}, the same within their give or take"
    away = f"{digits(abs(value - expected), 2, 'ms')} {'more' if value > expected else 'less'}"
    return f"{took}, {away}: a radio may read its switches at other times than its sticks"


def _turning(found: Linearity) -> str:
    band = found.dead_band_pct_of_input
    if not exists(band):
        return ""
    u, resolved = found.dead_band_u_pct_of_input, found.dead_band_resolved
    back = width_words(band, u, resolved=resolved)
    if resolved is False:
        return f"When the stick turns back the servo pulse turns with it, after {back} of its travel."
    return f"When the stick turns back, the servo pulse stays until it has come back by {back} of its travel."


def _repeats(found: Linearity) -> str:
    if not exists(found.repeatability_us):
        return ""
    again = "Brought to one place again from the same side, the servo pulse comes back"
    if not found.repeatability_resolved:
        return f"{again} as closely as can be told: what it differs by is {repeats_words(found)} of full travel."
    size = f"{digits(found.repeatability_us, 2, 'µs')}, {plainly(found.repeatability_pct, 2, '%')} of full travel"
    return f"{again} with a standard deviation of {size} ({repeats_words(found)})."


def _steps(found: Linearity) -> str:
    if not exists(found.step_us):
        return ""
    many = f"; {counted(found.values.count, 'different value')} came" if found.values is not None else ""
    share = f" ({plainly(step_pct(found), 2, '%')} of full travel)"
    every = f", a new one every {digits(found.refresh_ms, 3, 'ms')} while the stick moves" if found.refresh_ms else ""
    return f"The servo pulse moves in steps of {digits(found.step_us, 3, 'µs')}{share}{many}{every}."


def _again(found: Linearity) -> str:
    if not found.repeated_values or not found.repeated_of:
        return ""
    share = percent(found.repeated_values / found.repeated_of)
    return (
        f"While the stick moved by more than a step a frame, {counted(found.repeated_values, 'servo pulse')} of "
        f"{grouped(found.repeated_of)} ({share}) said the same as the one before: the radio sends them more often than "
        "it reads the stick."
    )


def _goes_back(found: Linearity) -> str:
    if found.monotonic is not False:
        return ""
    return "In places the servo pulse goes back while the stick goes on."


def largest_share(lines: Iterable[ShareLine]) -> ShareLine | None:
    """Return the largest line of a sweep's uncertainty, or None where there is none above 0."""
    some = [line for line in lines if exists(line.standard_pct) and line.standard_pct > 0.0]
    return max(some, key=lambda line: line.standard_pct) if some else None


def _largest_line(lines: tuple[ShareLine, ...]) -> str:
    line = largest_share(lines)
    if line is None:
        return ""
    standard = digits(line.standard_pct, 2, "%")
    what = clean(budget_words(line.source))
    return f"The largest part of the uncertainty is {what} ({standard} of full travel standard uncertainty)."
