"""What a run can see happen, and when it was seen."""

from dataclasses import dataclass
from enum import StrEnum


class Seen(StrEnum):
    """What a run can see happen; the table of each test names what matters to it."""

    PULSES_STEADY = "pulses-steady"
    PULSES_LOST = "pulses-lost"
    FLIP = "flip"
    LAST_FLIP = "last-flip"
    TRIAL_CLOSED = "trial-closed"
    ENOUGH = "enough"
    TIME_OVER = "time-over"
    HAND_PAUSE = "hand-pause"
    SWITCH_ON = "switch-on"
    CARRY_ON = "carry-on"
    GIVE_UP = "give-up"
    STOP = "stop"
    BROKE = "broke"
    STICK_MOVES = "stick-moves"
    STICK_STILL = "stick-still"
    STICK_BETWEEN = "stick-between"
    RESTED = "rested"
    TAKE = "take"
    TAKEN = "taken"
    PAST = "past"
    HELD = "held"


@dataclass(frozen=True, kw_only=True, slots=True)
class Moment:
    """Something seen at a time [ns]; reason says why, where there are several; value is what was read, if anything."""

    at_ns: int
    seen: StrEnum
    reason: str = ""
    value: float | None = None
