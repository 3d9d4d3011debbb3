"""The sentence about what is seen on a lead: "50 pulses a second, 1.52 ms long"."""

from dataclasses import dataclass
from enum import StrEnum

from benchapp.presentation.ground.numbers import NBSP, at_places, counted, exists, plainly, with_unit
from benchapp.records.leads import LeadKind

SERIAL_OUTPUT = "This is a serial output; pick another pin or set servo pulses."
RAGGED = "Pulses weak or ragged on this lead: look at its clip, its ground and its wiring."
GUESSED = "Up and down may be swapped: say below which state is the pulse."
STROBING = "This contact is scanned, not steady; use another pick-up."


class Seen(StrEnum):
    """What a lead carries, as far as its last seconds tell."""

    NOTHING = "nothing"
    STEADY = "steady"
    CHANGES = "changes"
    PULSES = "pulses"
    TRAIN = "train"
    SERIAL = "serial"
    STROBE = "strobe"
    VOLTS = "volts"


@dataclass(frozen=True, kw_only=True, slots=True)
class LeadSummary:
    """Simple facts about a lead's last seconds; None where there is no value.

    rate_hz      : pulses or pulse trains a second;  pulse_ms : the typical pulse's duration
    shortest_ms, longest_ms : the span of pulse durations, where they vary
    changes      : how often the lead changed;  high : its level now
    channels     : channels of a pulse train;  volts, lowest_v, highest_v : a voltage lead
    muted        : the probe was told to send nothing of this lead
    ragged       : too many pulses are spoilt, odd in length or out of step
    guessed      : nothing in the pulses tells which state is the pulse
    """

    kind: LeadKind
    role: str
    seen: Seen
    rate_hz: float | None = None
    pulse_ms: float | None = None
    shortest_ms: float | None = None
    longest_ms: float | None = None
    changes: int = 0
    high: bool | None = None
    channels: int | None = None
    volts: float | None = None
    lowest_v: float | None = None
    highest_v: float | None = None
    muted: bool = False
    ragged: bool = False
    guessed: bool = False


SWAPPED = "These two look swapped: pulses on the switch's lead, and a contact on the servo output's."


def look_swapped(switch: LeadSummary | None, output: LeadSummary | None) -> bool:
    """Return whether the switch's lead carries pulses while the servo output's lead changes like a contact."""
    if switch is None or output is None:
        return False
    return switch.seen in {Seen.PULSES, Seen.TRAIN} and output.seen in {Seen.CHANGES, Seen.STEADY}


def lead_sentence(summary: LeadSummary) -> str:
    """Return one or two plain sentences about what is seen on the lead."""
    if summary.muted:
        return f"{SERIAL_OUTPUT} Muted, so that it cannot crowd out the others."
    words = {
        Seen.NOTHING: _nothing,
        Seen.STEADY: _steady,
        Seen.CHANGES: _changes,
        Seen.PULSES: _pulses,
        Seen.TRAIN: _train,
        Seen.SERIAL: lambda _: SERIAL_OUTPUT,
        Seen.STROBE: lambda _: STROBING,
        Seen.VOLTS: _volts,
    }
    more = [RAGGED] if summary.ragged else [GUESSED] if summary.guessed else []
    return " ".join([words[summary.seen](summary), *more])


def _nothing(summary: LeadSummary) -> str:
    if summary.role == "switch":
        return "Nothing on this lead yet. Flip the switch."
    if summary.role.startswith("output"):
        return "No servo pulses yet. Are transmitter and receiver on?"
    return "Nothing on this lead yet."


def _state(high: bool | None) -> str:
    return "" if high is None else ("high" if high else "low")


def _steady(summary: LeadSummary) -> str:
    state = _state(summary.high)
    head = f"Steady, {state}." if state else "Steady."
    return f"{head} Flip the switch." if summary.role == "switch" and not summary.changes else head


def _changes(summary: LeadSummary) -> str:
    state = _state(summary.high)
    tail = f"; now {state}" if state else ""
    return f"{counted(summary.changes, 'change')} seen{tail}."


def _pulses(summary: LeadSummary) -> str:
    if not exists(summary.rate_hz):
        return "Pulses."
    rate = f"{_rate(summary.rate_hz)} pulses a second"
    low, high = summary.shortest_ms, summary.longest_ms
    if (
        low is not None
        and high is not None
        and exists(low)
        and exists(high)
        and at_places(low, 2) != at_places(high, 2)
    ):
        return f"{rate}, {at_places(low, 2)} to {with_unit(high, 2, 'ms')} long."
    if exists(summary.pulse_ms):
        return f"{rate}, {with_unit(summary.pulse_ms, 2, 'ms')} long."
    return f"{rate}."


def _train(summary: LeadSummary) -> str:
    if summary.channels is None or not exists(summary.rate_hz):
        return "A pulse train."
    rate = f"{_rate(summary.rate_hz)} times a second"
    return f"A pulse train of {counted(summary.channels, 'channel')}, {rate}."


def _volts(summary: LeadSummary) -> str:
    now = with_unit(summary.volts, 2, "V")
    if exists(summary.lowest_v) and exists(summary.highest_v):
        lowest, highest = at_places(summary.lowest_v, 2), at_places(summary.highest_v, 2)
        if lowest == highest:
            return f"{now}, steady."
        return f"{now} now; between {lowest} and {with_unit(summary.highest_v, 2, 'V')}."
    return f"{now} now."


def _rate(rate_hz: float) -> str:
    return plainly(rate_hz, 3, "").removesuffix(NBSP) if rate_hz < 100 else at_places(rate_hz, 0)
