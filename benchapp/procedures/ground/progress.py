"""What a run says of itself while it goes on."""

from dataclasses import dataclass, field
from enum import StrEnum

from benchapp.records.findings import Latency, Stragglers
from benchapp.records.flip_seen import FlipSeen
from benchapp.records.sweep_findings import Linearity


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
    GO_TO_AN_END = "go-to-an-end"
    REST = "rest"
    SWEEP = "sweep"
    GO_ON = "go-on"
    SET_STOP = "set-stop"
    KEEP_STILL = "keep-still"
    WENT_PAST = "went-past"
    TOUCH_NOTHING = "touch-nothing"
    LET_GO = "let-go"
    NEXT_POSITION = "next-position"
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
    ENOUGH_CYCLES = "enough-cycles"
    ALL_STOPS = "all-stops"
    NO_MOVES = "no-moves"
    NEVER_STILL = "never-still"
    NOT_SWITCHED_ON = "not-switched-on"
    SESSION_CLOSED = "session-closed"
    UNFORESEEN = "unforeseen"


STOPPED_BY_RULE = frozenset(
    {
        StopReason.ENOUGH_FLIPS,
        StopReason.TIME_OVER,
        StopReason.TARGET_MET,
        StopReason.ENOUGH_CYCLES,
        StopReason.ALL_STOPS,
    }
)
"""The reasons that make a run complete; every other one cuts it short."""


class PauseReason(StrEnum):
    """Why a run is paused, beside `records.events.SWITCH_ON`; stored in its pause event."""

    BAD_SIGNAL = "bad-signal"
    BY_HAND = "by-hand"
    TOUCHED = "touched"
    NEXT_POSITION = "next-position"
    SETTLING = "settling"


class Pace(StrEnum):
    """How the stick goes against its moving target, and how the next stroke should go."""

    GOOD = "good"
    TOO_FAST = "too-fast"
    TOO_SLOW = "too-slow"
    USUAL = "usual"
    QUICKER = "quicker"
    SLOWER = "slower"


@dataclass(frozen=True, kw_only=True, slots=True)
class StickProgress:
    """What a stick test shows beside what every run shows; None where it does not apply or is not known yet.

    place, target : where the stick is and should be, 0 to 1 of the range it has shown
    at_v, scale_v : where it is in volts, and the full scale of its lead;   still : it stands still
    low_v, high_v : the range it has shown; before both ends are known, the range it may be expected to have
    pace          : GOOD, TOO_FAST or TOO_SLOW while it moves; pace_wanted : how this stroke or the next should go
    cycles        : full cycles counted, of cycles_wanted
    stops         : stops taken, of stops_wanted; next_deg : the position to set next, the mark-th of marks;
                    rising : towards more degrees
    last_us       : the pulse at the last stop
    can_drop, can_undrop : whether the last stop can be left out, or the last one left out be taken back
    held_s        : how long it has been held at this position, of hold_s; position counts from 1, of positions
    low_us, high_us, linearity_pct, linearity_u_pct : the ends, and the straightness with its give or take, so far
    found : all findings of the sweep so far, as the reduction made them
    sd_us, peak_us : how unsteady the pulses were so far: standard deviation, and from the shortest to the longest;
                    pulses : how many of them count
    told_from_probe : sd_us is more than the probe itself would show of pulses that are all alike
    """

    place: float | None = None
    target: float | None = None
    at_v: float | None = None
    scale_v: float | None = None
    low_v: float | None = None
    high_v: float | None = None
    still: bool | None = None
    pace: Pace | None = None
    pace_wanted: Pace | None = None
    cycles: int = 0
    cycles_wanted: int | None = None
    stops: int = 0
    stops_wanted: int | None = None
    next_deg: float | None = None
    mark: int | None = None
    marks: int | None = None
    rising: bool | None = None
    last_us: float | None = None
    can_drop: bool = False
    can_undrop: bool = False
    held_s: float | None = None
    hold_s: float | None = None
    position: int | None = None
    positions: int | None = None
    low_us: float | None = None
    high_us: float | None = None
    linearity_pct: float | None = None
    linearity_u_pct: float | None = None
    found: Linearity | None = field(default=None, compare=False)
    sd_us: float | None = None
    peak_us: float | None = None
    pulses: int | None = None
    told_from_probe: bool | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class RunProgress:
    """A run as it stands. Times in ms; None where there is no value yet.

    prompt       : what to do now
    flips        : control events seen in the run, answered or not, dropped ones included
    answered     : those whose answer counts
    wanted       : flips asked for; None if only a time or a target was
    last_ms      : the latency of the last closed flip; None if it got no answer (last_code says why)
    value_ms     : the figure so far, half_width_ms : its give or take, every line of its budget in it
    stands_for   : what that is a figure for, as in `records.findings`; seen_switch_ons : how many it comes from
    any_half_width_ms : the give or take for any switch-on of the transmitter
    out_of_reach : no number of flips brings the give or take down to the target
    stands       : the run has gone on for so long that the figure is of its first half hour, until it ends
    flips_left, minutes_left : about how many are left to the nearest stop rule; None if not known yet
    switch_ons_left : how many are left to begin before a target is looked at; None where they do not limit the run
    paused       : the reason of the pause that stands, or ""
    blocks       : switch-on blocks begun, of switch_ons asked for
    stragglers   : the answers that came far too late, so far
    last_flip    : the newest flip that was measured;  found : the findings so far, as the reduction made them
    outcome      : "" while it goes on, else complete or cut-short; stop_reason says why
    stick        : what a stick test shows beside this
    counts       : how many a test counts that times no flips and moves no stick, of what stands on its card
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
    stands_for: str = ""
    seen_switch_ons: int = 1
    any_half_width_ms: float | None = None
    out_of_reach: bool = False
    stands: bool = False
    flips_left: int | None = None
    switch_ons_left: int | None = None
    minutes_left: float | None = None
    dropped: int = 0
    paused: str = ""
    blocks: int = 1
    switch_ons: int = 1
    stragglers: Stragglers | None = None
    last_flip: FlipSeen | None = None
    found: Latency | None = field(default=None, compare=False)
    outcome: str = ""
    stop_reason: str = ""
    stick: StickProgress | None = None
    counts: int | None = None
