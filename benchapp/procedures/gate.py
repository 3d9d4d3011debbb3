"""The one gate before any run: which safety lines must be confirmed, and which of them are not."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from benchapp.records.run import Origin

STALE_NS = 30 * 60 * 1_000_000_000
"""A confirmation older than this is asked again."""


class SafetyLine(StrEnum):
    """The keys of the lines of *Make it safe*; their words live in `presentation.safety`."""

    PRACTICE = "practice"
    RECEIVER_ONLY = "receiver-only"
    PROPELLER_OFF = "propeller-off"
    FLYING_CONTROLS = "flying-controls"
    POWER_ORDER = "power-order"
    STABILISER = "stabiliser"
    ONE_RECEIVER = "one-receiver"
    OPENED_SET = "opened-set"
    LITHIUM = "lithium"
    EARTH = "earth"
    SERVO_STARTS = "servo-starts"
    OUTPUT_RATE = "output-rate"
    CONNECT_OFF = "connect-off"
    ONE_SUPPLY = "one-supply"
    UNMODIFIED = "unmodified"
    NOT_READY_TO_FLY = "not-ready-to-fly"


PROPELLER_LINES = (SafetyLine.PROPELLER_OFF, SafetyLine.STABILISER)
"""Folded away once nothing that drives a motor is connected."""

_COMMON_LINES = (
    SafetyLine.FLYING_CONTROLS,
    SafetyLine.POWER_ORDER,
    SafetyLine.ONE_RECEIVER,
    SafetyLine.OPENED_SET,
    SafetyLine.LITHIUM,
    SafetyLine.EARTH,
    SafetyLine.NOT_READY_TO_FLY,
    SafetyLine.SERVO_STARTS,
    SafetyLine.OUTPUT_RATE,
    SafetyLine.CONNECT_OFF,
    SafetyLine.ONE_SUPPLY,
    SafetyLine.UNMODIFIED,
)


class Why(StrEnum):
    """Why a line stands in the way of a run."""

    NOT_CONFIRMED = "not-confirmed"
    STALE = "stale"
    LEAD_CHANGED = "lead-changed"
    POWERED_UP = "powered-up"


@dataclass(frozen=True, kw_only=True, slots=True)
class Refusal:
    """One line that must be confirmed before the run, and why."""

    line: SafetyLine
    why: Why


def offered_lines(origin: Origin) -> tuple[SafetyLine, ...]:
    """Return every line to show, in the order shown.

    On the practice bench nothing can move, so its own line is the only one.
    """
    if origin is Origin.PRACTICE:
        return (SafetyLine.PRACTICE,)
    return (SafetyLine.RECEIVER_ONLY, *PROPELLER_LINES, *_COMMON_LINES)


def needed_lines(origin: Origin, *, receiver_only: bool) -> tuple[SafetyLine, ...]:
    """Return the lines that must be confirmed, in the order shown.

    receiver_only: the first line, nothing that drives a motor is connected, holds; it folds the propeller lines
    away. Where it does not hold it is not needed and the propeller lines are.
    """
    if origin is Origin.PRACTICE:
        return (SafetyLine.PRACTICE,)
    head = (SafetyLine.RECEIVER_ONLY,) if receiver_only else PROPELLER_LINES
    return (*head, *_COMMON_LINES)


def switching_lines(confirmed: Iterable[str]) -> tuple[SafetyLine, ...]:
    """Return the lines that belong to switching transmitter and model off and on, in the order shown.

    confirmed are the lines that let the run start: where it was said that nothing drives a motor, the propeller's lines
    stay folded away.
    """
    head = () if SafetyLine.RECEIVER_ONLY in set(confirmed) else PROPELLER_LINES
    return (*head, SafetyLine.POWER_ORDER, SafetyLine.ONE_RECEIVER, SafetyLine.SERVO_STARTS)


def gate(
    confirmed: Mapping[str, int],
    now_ns: int,
    *,
    origin: Origin,
    lead_changed_ns: int | None = None,
    powered_up_ns: int | None = None,
) -> tuple[Refusal, ...]:
    """Return the lines that stand in the way of a run, in the order shown; empty when it may start.

    confirmed maps a line's key to when it was confirmed. All times are ns on one clock that never steps back (the
    link's host clock). lead_changed_ns and powered_up_ns are the last times a lead or its role changed and the
    model was powered up; a confirmation at or before them no longer holds.
    """
    lines = needed_lines(origin, receiver_only=SafetyLine.RECEIVER_ONLY in confirmed)
    reasons = ((line, _why(confirmed.get(line), now_ns, lead_changed_ns, powered_up_ns)) for line in lines)
    return tuple(Refusal(line=line, why=why) for line, why in reasons if why is not None)


def _why(at_ns: int | None, now_ns: int, lead_changed_ns: int | None, powered_up_ns: int | None) -> Why | None:
    if at_ns is None:
        return Why.NOT_CONFIRMED
    if lead_changed_ns is not None and at_ns <= lead_changed_ns:
        return Why.LEAD_CHANGED
    if powered_up_ns is not None and at_ns <= powered_up_ns:
        return Why.POWERED_UP
    if now_ns - at_ns > STALE_NS:
        return Why.STALE
    return None
