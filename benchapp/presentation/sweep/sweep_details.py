"""What a sweep says beside its lines, as labels with values: ends, centre, lag, play, steps."""

from collections.abc import Iterable

from benchapp.presentation.ground.numbers import (
    DASH,
    MINUS,
    NBSP,
    at_places,
    counted,
    digits,
    exists,
    give_or_take,
    grouped,
    plainly,
    with_unit,
)
from benchapp.presentation.ground.page import Row
from benchapp.presentation.ground.stick_facts import (
    delay_half_width_ms,
    expected_flip_ms,
    give_words,
    length_words,
    step_pct,
    width_words,
)
from benchapp.presentation.ground.stick_reasons import missing_figures
from benchapp.records.findings import RunFindings
from benchapp.records.method import NOMINAL_CENTRE_US
from benchapp.records.sweep_findings import Linearity


def sweep_details(run: RunFindings, found: Linearity) -> tuple[Row, ...]:
    """Return the rows; a value that does not exist is a dash with its reason. Without a curve there are few."""
    return tuple(_rows(run, found))


def _rows(run: RunFindings, found: Linearity) -> Iterable[Row]:
    why = missing_figures(found, run.notes)
    unit = found.x_unit

    def said(label: str, value: str, name: str) -> Row:
        return Row(label=label, value=value if value else f"{DASH} {why.get(name, 'not known')}")

    yield Row(label="Measured against", value=AGAINST[found.against])
    yield Row(label="Cycles", value=_cycles(found))
    if not exists(found.span_us):
        return
    yield Row(label="Low end", value=_end(found.low_us, found.low_x, unit, found, high=False))
    yield Row(label="High end", value=_end(found.high_us, found.high_x, unit, found, high=True))
    whole = f"{length_words(found.span_us, found.span_u_us)} over {place(found.span_x, unit)}"
    yield Row(label="Full travel", value=f"{whole}{give_words(found.span_u_us)}")
    yield said("Middle of the travel", _middle(found), "centre_offset_us")
    yield said("Lag, stick to the pulse's beginning", _lag(found), "delay_ms")
    expected = expected_flip_ms(run, found)
    if expected is not None:
        yield Row(label="What a flip would take, by that lag", value=digits(expected, 3, "ms"))
    yield said("Play on turning back", _band(found, unit),
               "dead_band_pct_of_input")  # fmt: skip
    yield said("Play around the centre", _flat(found, unit),
               "centre_flat_pct_of_input")  # fmt: skip
    yield said("Step of the servo pulse", _step(found), "step_us")
    if found.values is not None:
        yield Row(label="Different values", value=f"{counted(found.values.count, 'different value')}")
    yield said("New value while moving, every", digits(found.refresh_ms, 3, "ms") if exists(found.refresh_ms) else "",
               "refresh_ms")  # fmt: skip
    yield said("Same value again while moving", _again(found), "repeated_values")
    yield said("Evenness of the steps", _evenness(found), "steps")
    yield said("Goes one way only", {True: "yes", False: "no: in places it goes back", None: ""}[found.monotonic],
               "monotonic")  # fmt: skip


AGAINST = {
    "stick-voltage": "the stick's own voltage",
    "angle": "the angle that was typed at each stop",
}


def place(value: float | None, unit: str) -> str:
    """Return a place of the stick, or a way along its travel: "1.654 V", "12.5°"."""
    if not exists(value):
        return DASH
    return f"{at_places(value, 1)}°" if unit == "°" else with_unit(value, 3, unit)


def _cycles(found: Linearity) -> str:
    positions = f", {counted(found.positions, 'position')}" if found.positions else ""
    return f"{counted(found.cycles, 'full cycle')}{positions}"


def _end(us: float | None, x: float | None, unit: str, found: Linearity, *, high: bool) -> str:
    clipped = found.clipped_high if high else found.clipped_low
    rested = found.rested_high if high else found.rested_low
    railed = found.railed_high if high else found.railed_low
    u = found.high_u_us if high else found.low_u_us
    told = f"{length_words(us, u)}{give_words(u)}, at {place(x, unit)}"
    if railed:
        return f"{told}, where the voltage lead's range ended"
    if clipped:
        return f"{told}, where the servo pulse stopped following"
    return told if rested else f"{told}, read from the moving stick"


def _middle(found: Linearity) -> str:
    if not exists(found.centre_us) or not exists(found.centre_offset_us):
        return ""
    sign = "+" if found.centre_offset_us > 0 else MINUS
    off = f"{sign}{length_words(abs(found.centre_offset_us), found.centre_u_us)}"
    told = f"{length_words(found.centre_us, found.centre_u_us)} ({off} from {NOMINAL_CENTRE_US:.0f}{NBSP}µs)"
    return f"{told}{give_words(found.centre_u_us)}"


def _lag(found: Linearity) -> str:
    return give_or_take(found.delay_ms, delay_half_width_ms(found), "ms") if exists(found.delay_ms) else ""


def _band(found: Linearity, unit: str) -> str:
    resolved = found.dead_band_resolved
    words = width_words(found.dead_band_pct_of_input, found.dead_band_u_pct_of_input, resolved=resolved)
    return _of_travel(words, found.dead_band_x, unit, resolved=resolved)


def _flat(found: Linearity, unit: str) -> str:
    pct, resolved = found.centre_flat_pct_of_input, found.centre_flat_resolved
    if resolved is False and exists(pct):
        why = "the curve's own slope and a step account for it" if found.smooth_curve else "a step accounts for it"
        return f"none told: {plainly(pct, 2, '%')} of the stick's travel shows no change beyond a step, and {why}"
    words = width_words(pct, found.centre_flat_u_pct_of_input, resolved=resolved)
    return _of_travel(words, found.centre_flat_x, unit, resolved=resolved)


def _of_travel(words: str, x: float | None, unit: str, *, resolved: bool | None) -> str:
    if not words:
        return ""
    return f"{words} of the stick's travel" + ("" if resolved is False else f" ({place(x, unit)})")


def _again(found: Linearity) -> str:
    if found.repeated_values is None or not found.repeated_of:
        return ""
    judged = counted(found.repeated_of, "servo pulse")
    return f"{grouped(found.repeated_values)} of {judged} before which the stick had moved by more than a step"


def _step(found: Linearity) -> str:
    if not exists(found.step_us):
        return ""
    return f"{digits(found.step_us, 3, 'µs')} ({plainly(step_pct(found), 2, '%')} of full travel)"


def _evenness(found: Linearity) -> str:
    steps = found.steps
    if steps is None:
        return ""
    missing = f"; {counted(steps.missing, 'step')} never showed" if steps.missing else ""
    return (
        f"widths differ by up to {plainly(abs(steps.dnl), 2, 'steps')}, places by up to "
        f"{plainly(abs(steps.inl), 2, 'steps')}, over {counted(steps.codes, 'step')}{missing}"
    )
