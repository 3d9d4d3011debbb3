"""The hold-still test: for a set time nothing is touched; at several positions, one after the other, if wanted."""

from collections.abc import Sequence
from enum import StrEnum

from benchapp.procedures.ground.conclusions import Helper
from benchapp.procedures.ground.moments import Moment, Seen
from benchapp.procedures.ground.plan import RunPlan
from benchapp.procedures.ground.progress import PauseReason, Prompt, StickProgress, StopReason
from benchapp.procedures.ground.stick_run import ALONE_IDLE_NS, LAG_NS, Rules, StickRun
from benchapp.records.events import Event
from benchapp.records.method import SEEN_LATE_NS
from benchapp.records.stream import Record

USUAL_S = 20.0
TELL_EVERY_NS = 1_000_000_000
"""How often a hold that goes on is concluded from anew, at most."""
LET_GO_NS = 1_000_000_000
"""What a hand that has just let go still stirs; the hold begins after it. It is waited for after the first steady
pulses and after each *Carry on*, the stick's lead standing still, and logged as a pause of its own (`settling`).
Without it a stick on its way as Start was pressed counted as held from the first moment: 400 µs of wander. Where its
lead moved all the same the verdict is "cannot tell"."""
STILL_WITHIN_NS = 500_000_000
"""A stick that is not seen to stand still this soon was being moved from the beginning."""


class HoldState(StrEnum):
    """The states of a hold-still run."""

    WAITING_FOR_PULSES = "waiting-for-pulses"
    HOLDING = "holding"
    TOUCHED = "touched"
    LETTING_GO = "letting-go"
    MOVING_ON = "moving-on"
    PAUSED = "paused"
    REGAINING = "regaining"
    ENDED = "ended"


OPEN = tuple(state for state in HoldState if state is not HoldState.ENDED)
BREAKS = (HoldState.TOUCHED, HoldState.LETTING_GO, HoldState.MOVING_ON)
NEXT: dict[tuple[HoldState, Seen], HoldState] = {
    (HoldState.WAITING_FOR_PULSES, Seen.PULSES_STEADY): HoldState.LETTING_GO,
    (HoldState.HOLDING, Seen.STICK_MOVES): HoldState.TOUCHED,
    (HoldState.HOLDING, Seen.HELD): HoldState.MOVING_ON,
    (HoldState.HOLDING, Seen.ENOUGH): HoldState.ENDED,
    (HoldState.TOUCHED, Seen.STICK_STILL): HoldState.LETTING_GO,
    (HoldState.TOUCHED, Seen.CARRY_ON): HoldState.LETTING_GO,
    (HoldState.MOVING_ON, Seen.STICK_MOVES): HoldState.TOUCHED,
    (HoldState.MOVING_ON, Seen.CARRY_ON): HoldState.LETTING_GO,
    (HoldState.LETTING_GO, Seen.STICK_MOVES): HoldState.TOUCHED,
    (HoldState.LETTING_GO, Seen.RESTED): HoldState.HOLDING,
    (HoldState.PAUSED, Seen.CARRY_ON): HoldState.REGAINING,
    (HoldState.REGAINING, Seen.PULSES_STEADY): HoldState.LETTING_GO,
    **{(state, Seen.PULSES_LOST): HoldState.PAUSED for state in (HoldState.HOLDING, *BREAKS)},
    **{(state, Seen.HAND_PAUSE): HoldState.PAUSED for state in OPEN if state is not HoldState.PAUSED},
    **{(state, seen): HoldState.ENDED for state in OPEN for seen in (Seen.STOP, Seen.BROKE, Seen.GIVE_UP)},
}
"""Rules: what is not held is a pause, with its reason, and does not count. Only a lead on the stick can tell that it
was touched: what the output does is what is measured. The hold of a position goes on where it was broken off.

Whoever starts a hold, or carries on, has a hand to take away: it begins a second later, and not before the stick's lead
stands still. That wait is a pause too, logged once it is over."""

_AFTER_SETTLING = frozenset({HoldState.HOLDING, HoldState.PAUSED, HoldState.ENDED})
_RULES = Rules(
    table=NEXT,
    first=HoldState.WAITING_FOR_PULSES,
    paused=HoldState.PAUSED,
    regaining=HoldState.REGAINING,
    ended=HoldState.ENDED,
)
_PROMPTS = {
    HoldState.WAITING_FOR_PULSES: Prompt.WAIT_FOR_PULSES,
    HoldState.HOLDING: Prompt.TOUCH_NOTHING,
    HoldState.TOUCHED: Prompt.LET_GO,
    HoldState.LETTING_GO: Prompt.LET_GO,
    HoldState.MOVING_ON: Prompt.NEXT_POSITION,
    HoldState.PAUSED: Prompt.CARRY_ON,
    HoldState.REGAINING: Prompt.WAIT_FOR_PULSES,
    HoldState.ENDED: Prompt.DONE,
}


class HoldStill(StickRun[HoldState]):
    """One hold-still. The plan must have a lead on the output; one on the stick tells whether it was touched."""

    def __init__(self, plan: RunPlan, helper: Helper | None = None) -> None:
        """Plan a hold from plan.start_ns on; without seconds in its settings it lasts until a hand ends it."""
        super().__init__(plan, _RULES, helper, ending=StopReason.TIME_OVER)
        self._held_ns = 0
        self._since_ns: int | None = None
        self._go_on_ns = 0
        self._settling_ns: int | None = plan.start_ns
        self._was_still = False
        self._position = 1
        self._told_ns = plan.start_ns

    @property
    def waiting(self) -> bool:
        """Whether the run waits for somebody to move the stick, or to let it go."""
        return self.state in BREAKS

    def prompt(self) -> Prompt:
        """Return the one instruction of the moment."""
        return _PROMPTS[self.state]

    def shown(self) -> StickProgress:
        """Return how long it was held, and at which position."""
        held_s, hold_s = self._held(self.log.stop_ns or self.now_ns) / 1e9, self.plan.settings.seconds
        return StickProgress(
            held_s=held_s if hold_s is None else min(held_s, hold_s),
            hold_s=hold_s,
            position=self._position,
            positions=self.plan.settings.positions,
        )

    def see(self, records: Sequence[Record], now_ns: int) -> list[Event]:
        """Return the events that these records and the time brought; once a second a hold is concluded from."""
        events = super().see(records, now_ns)
        seen_ns = self.now_ns - LAG_NS
        if self.state is HoldState.HOLDING and seen_ns - self._told_ns >= TELL_EVERY_NS and self.may_conclude:
            self._told_ns = seen_ns
            self.conclude(seen_ns)
        return events

    def left_s(self) -> float | None:
        """Return how many seconds are still to be held, None where only a hand ends it."""
        seconds = self.plan.settings.seconds
        if seconds is None:
            return None
        positions = self.plan.settings.positions or 1
        return max(seconds * (positions - self._position + 1) - self._held(self.now_ns) / 1e9, 0.0)

    def timers(self) -> list[Moment]:
        """Return the moments that only time brings: the end of a hold, its beginning, and those of every run."""
        timers = super().timers()
        if self.state is HoldState.LETTING_GO and (self.still_v is not None or not self.by_lead):
            timers.append(Moment(at_ns=self._go_on_ns, seen=Seen.RESTED))
        seconds, since_ns = self.plan.settings.seconds, self._since_ns
        if seconds is not None and since_ns is not None:
            last = self._position >= (self.plan.settings.positions or 1)
            over_ns = since_ns + round(seconds * 1e9) - self._held_ns
            timers.append(Moment(at_ns=over_ns, seen=Seen.ENOUGH if last else Seen.HELD))
            if self.plan.alone:
                timers.append(Moment(at_ns=self._longest_ns(seconds), seen=Seen.GIVE_UP, reason=StopReason.NEVER_STILL))
        if self.by_lead and since_ns is not None and not self._was_still:
            timers.append(Moment(at_ns=since_ns + STILL_WITHIN_NS, seen=Seen.STICK_MOVES))
        return timers

    def apply(self, moment: Moment) -> None:
        """Make a transition; without a lead on the stick, what the pulses do is no touch."""
        if moment.seen in (Seen.STICK_MOVES, Seen.STICK_STILL) and not self.by_lead:
            return
        if moment.seen is Seen.STICK_STILL:
            self._was_still = True
            self._go_on_ns = max(self._go_on_ns, moment.at_ns)
        if NEXT.get((self.state, moment.seen), self.state) in _AFTER_SETTLING:
            self._settled(moment.at_ns)
        super().apply(moment)

    def _settled(self, at_ns: int) -> None:
        """Log how long it took until all was still, if that was waited for."""
        if self._settling_ns is not None and at_ns > self._settling_ns:
            self.log.pause(self._settling_ns, PauseReason.SETTLING)
            self.log.resume(at_ns)
        self._settling_ns = None

    def entered(self, moment: Moment, before: HoldState) -> None:
        """Count the time that was held and log the pauses in between, as the run comes into a new state."""
        if self.state is HoldState.HOLDING:
            if self.log.paused:
                self.log.resume(moment.at_ns)
            self._since_ns, self._was_still = moment.at_ns, self.still_v is not None
            return
        if before is HoldState.HOLDING:
            self.quiet_since_ns = moment.at_ns
        ends_ns = self._left_alone_until(moment.at_ns) if self.state is HoldState.TOUCHED else moment.at_ns
        self._held_ns, self._since_ns = self._held(ends_ns), None
        if self.state is HoldState.MOVING_ON:
            self._position, self._held_ns = self._position + 1, 0
            self.log.pause(moment.at_ns, PauseReason.NEXT_POSITION)
        elif self.state is HoldState.TOUCHED and before is HoldState.HOLDING:
            self.log.pause(ends_ns, PauseReason.TOUCHED)
        elif self.state is HoldState.LETTING_GO:
            self._go_on_ns = moment.at_ns + LET_GO_NS
            if before is HoldState.REGAINING:
                self._settling_ns = moment.at_ns

    def _longest_ns(self, seconds: float) -> int:
        """Return when a run with nobody there ends at the latest: a stick touched again and again never holds."""
        positions = self.plan.settings.positions or 1
        return self.plan.start_ns + positions * (round(seconds * 1e9) + ALONE_IDLE_NS)

    def _left_alone_until(self, seen_ns: int) -> int:
        """Return until when the stick was left alone, if it was seen to move at seen_ns."""
        since_ns = seen_ns if self._since_ns is None else self._since_ns
        return max(since_ns, seen_ns - SEEN_LATE_NS) if self._was_still else since_ns

    def _held(self, now_ns: int) -> int:
        """Return how long this position was held by now."""
        return self._held_ns + (0 if self._since_ns is None else max(now_ns - self._since_ns, 0))
