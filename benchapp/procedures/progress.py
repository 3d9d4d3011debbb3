"""What a run says of itself while it goes on."""

from dataclasses import dataclass
from enum import StrEnum


class Prompt(StrEnum):
    """The one instruction of the moment; its words live in `presentation.wording`."""

    WAIT_FOR_PULSES = "wait-for-pulses"
    FLIP_TO_START = "flip-to-start"
    FLIP_NOW = "flip-now"
    WAIT_FOR_ANSWER = "wait-for-answer"
    LAST_ANSWER = "last-answer"
    CARRY_ON = "carry-on"
    SWITCH_OFF_AND_ON = "switch-off-and-on"
    HANDS_OFF = "hands-off"
    DONE = "done"


class StopReason(StrEnum):
    """Why a run ended; stored in its run-stop event."""

    ENOUGH_FLIPS = "enough-flips"
    TIME_OVER = "time-over"
    TARGET_MET = "target-met"
    BY_HAND = "by-hand"
    PROBE_LOST = "probe-lost"
    PROBE_RESET = "probe-reset"
    COMPUTER_SLEPT = "computer-slept"
    DISK_TROUBLE = "disk-trouble"
    PAUSED_TOO_LONG = "paused-too-long"
    NO_FLIPS = "no-flips"
    SESSION_CLOSED = "session-closed"


class PauseReason(StrEnum):
    """Why a run is paused, beside `records.events.SWITCH_ON`; stored in its pause event."""

    BAD_SIGNAL = "bad-signal"
    BY_HAND = "by-hand"


@dataclass(frozen=True, kw_only=True, slots=True)
class RunProgress:
    """A run as it stands. Times in ms; None where there is no value yet.

    prompt       : what to do now
    flips        : control events seen in the run, answered or not, dropped ones included
    answered     : those whose answer counts
    wanted       : flips asked for; None if only a time or a target was
    last_ms      : the latency of the last closed flip; None if it got no answer (last_code says why)
    value_ms     : the figure so far, half_width_ms : give or take (sampling only)
    flips_left, minutes_left : about how many are left to the nearest stop rule; None if not known yet
    paused       : the reason of the pause that stands, or ""
    blocks       : switch-on blocks begun
    outcome      : "" while it goes on, else complete or cut-short; stop_reason says why
    """

    run: int
    test: str
    prompt: Prompt
    flips: int
    answered: int
    wanted: int | None = None
    target_ms: float | None = None
    last_ms: float | None = None
    last_code: str = ""
    value_ms: float | None = None
    half_width_ms: float | None = None
    flips_left: int | None = None
    minutes_left: float | None = None
    dropped: int = 0
    paused: str = ""
    blocks: int = 1
    outcome: str = ""
    stop_reason: str = ""
