"""The one gate before any run: what is on the bench, which safety lines it asks for, and which are not confirmed."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from benchapp.records.run import Origin

STALE_NS = 30 * 60 * 1_000_000_000
"""A confirmation older than this is asked again."""


class OnBench(StrEnum):
    """What can stand on a real bench, the safest first; the words live in `presentation.ground.on_bench`."""

    SERVOS = "servos"
    NO_PROPELLER = "no-propeller"
    MOTOR = "motor"
    COMBUSTION = "combustion"


class SafetyLine(StrEnum):
    """The keys of the lines of *Make it safe*; their words live in `presentation.ground.safety`.

    ON_BENCH is no line to confirm but the question above them: it stands in the way of a run until it is answered.
    """

    ON_BENCH = "on-bench"
    PRACTICE = "practice"
    RECEIVER_ONLY = "receiver-only"
    COMBUSTION_OFF = "combustion-off"
    PROPELLER_OFF = "propeller-off"
    STABILISER = "stabiliser"
    FLYING_CONTROLS = "flying-controls"
    POWER_ORDER = "power-order"
    ONE_RECEIVER = "one-receiver"
    OPENED_SET = "opened-set"
    LITHIUM = "lithium"
    EARTH = "earth"
    NOT_READY_TO_FLY = "not-ready-to-fly"
    SERVO_STARTS = "servo-starts"
    OUTPUT_RATE = "output-rate"
    CONNECT_OFF = "connect-off"
    ONE_SUPPLY = "one-supply"
    UNMODIFIED = "unmodified"


GRAVE_LINES = (
    SafetyLine.COMBUSTION_OFF,
    SafetyLine.PROPELLER_OFF,
    SafetyLine.STABILISER,
    SafetyLine.FLYING_CONTROLS,
)
"""What can maim: shown first, and large."""

PROPELLER_LINES = (SafetyLine.PROPELLER_OFF, SafetyLine.STABILISER)
"""Not asked where nothing that drives a motor is connected."""

_REST = tuple(
    line
    for line in SafetyLine
    if line not in (SafetyLine.ON_BENCH, SafetyLine.PRACTICE, SafetyLine.RECEIVER_ONLY, *GRAVE_LINES)
)
_EVERY_LINE = (*GRAVE_LINES, *_REST)
_NEEDED: Mapping[OnBench, tuple[SafetyLine, ...]] = {
    OnBench.SERVOS: (
        SafetyLine.RECEIVER_ONLY,
        SafetyLine.ONE_RECEIVER,
        SafetyLine.LITHIUM,
        SafetyLine.SERVO_STARTS,
        SafetyLine.CONNECT_OFF,
    ),
    OnBench.NO_PROPELLER: (
        SafetyLine.PROPELLER_OFF,
        SafetyLine.STABILISER,
        SafetyLine.FLYING_CONTROLS,
        SafetyLine.POWER_ORDER,
        SafetyLine.ONE_RECEIVER,
        SafetyLine.LITHIUM,
        SafetyLine.SERVO_STARTS,
        SafetyLine.CONNECT_OFF,
    ),
    OnBench.MOTOR: _EVERY_LINE[1:],
    OnBench.COMBUSTION: _EVERY_LINE,
}
"""What is asked, the gravest first. Receiver and servos: five lines, so that each is read; a motor that can turn:
every line there is. An engine's own line comes before these."""


class Why(StrEnum):
    """Why a line stands in the way of a run."""

    NOT_CONFIRMED = "not-confirmed"
    STALE = "stale"
    LEAD_CHANGED = "lead-changed"
    POWERED_UP = "powered-up"
    ANSWER_CHANGED = "answer-changed"
    TEST_CHANGED = "test-changed"


_OF_A_REAL_BENCH = frozenset({Why.ANSWER_CHANGED, Why.TEST_CHANGED})


@dataclass(frozen=True, kw_only=True, slots=True)
class Refusal:
    """One line that must be confirmed before the run, and why."""

    line: SafetyLine
    why: Why


def offered_lines(origin: Origin) -> tuple[SafetyLine, ...]:
    """Return every line that can be asked for on some bench of this origin, in the order shown.

    On the practice bench nothing can move, so its own line is the only one.
    """
    if origin is Origin.PRACTICE:
        return (SafetyLine.PRACTICE,)
    return (SafetyLine.RECEIVER_ONLY, *_EVERY_LINE)


def needed_lines(origin: Origin, on_bench: OnBench | None) -> tuple[SafetyLine, ...]:
    """Return the lines that must be confirmed, in the order shown; none before a real bench's question is answered."""
    if origin is Origin.PRACTICE:
        return (SafetyLine.PRACTICE,)
    return () if on_bench is None else _NEEDED[on_bench]


def advice_lines(origin: Origin, on_bench: OnBench | None) -> tuple[SafetyLine, ...]:
    """Return the lines that apply to this bench too, to be read without being confirmed, in the order shown."""
    if origin is Origin.PRACTICE or on_bench is None:
        return ()
    return tuple(line for line in _REST if line not in _NEEDED[on_bench])


def switching_lines(confirmed: Iterable[str]) -> tuple[SafetyLine, ...]:
    """Return the lines that belong to switching transmitter and model off and on, in the order shown.

    confirmed are the lines that let the run start: where it was said that nothing drives a motor, the propeller's lines
    stay away; an engine's is read again where it was confirmed.
    """
    said = set(confirmed)
    head = () if SafetyLine.RECEIVER_ONLY in said else PROPELLER_LINES
    engine = (SafetyLine.COMBUSTION_OFF,) if SafetyLine.COMBUSTION_OFF in said else ()
    return (*engine, *head, SafetyLine.POWER_ORDER, SafetyLine.ONE_RECEIVER, SafetyLine.SERVO_STARTS)


def gate(
    confirmed: Mapping[str, int],
    now_ns: int,
    *,
    origin: Origin,
    on_bench: OnBench | None = None,
    undone: Mapping[Why, int] | None = None,
) -> tuple[Refusal, ...]:
    """Return the lines that stand in the way of a run, in the order shown; empty when it may start.

    confirmed maps a line's key to when it was confirmed. on_bench is the answer to what is on the bench; while it is
    None a real bench is refused, whatever was confirmed; on the practice bench nothing can move in any test, so neither
    it nor the test is asked about. undone maps what undoes confirmations to when it happened
    last: a lead or its role changed, the model was powered up, the answer or the test changed; a confirmation at or
    before it no longer holds. All times are ns on one clock that never steps back (the link's host clock).
    """
    if origin is not Origin.PRACTICE and on_bench is None:
        return (Refusal(line=SafetyLine.ON_BENCH, why=Why.NOT_CONFIRMED),)
    ignored = _OF_A_REAL_BENCH if origin is Origin.PRACTICE else frozenset()
    since = {why: at_ns for why, at_ns in (undone or {}).items() if why not in ignored}
    reasons = ((line, _why(confirmed.get(line), now_ns, since)) for line in needed_lines(origin, on_bench))
    return tuple(Refusal(line=line, why=why) for line, why in reasons if why is not None)


def _why(at_ns: int | None, now_ns: int, undone: Mapping[Why, int]) -> Why | None:
    """Return why a line confirmed at at_ns does not hold: of several reasons the one that came last."""
    if at_ns is None:
        return Why.NOT_CONFIRMED
    after = {why: undone_ns for why, undone_ns in undone.items() if at_ns <= undone_ns}
    if after:
        return max(after, key=lambda why: after[why])
    return Why.STALE if now_ns - at_ns > STALE_NS else None
