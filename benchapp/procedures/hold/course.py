"""What a hold-still test makes of its run: for a set time nothing is touched; at several positions, if wanted."""

from collections.abc import Sequence
from enum import StrEnum

from benchapp.procedures.ground.conclusions import Helper
from benchapp.procedures.ground.moments import Moment, Seen
from benchapp.procedures.ground.open_run import OpenRun
from benchapp.procedures.ground.place_watch import PlaceWatch
from benchapp.procedures.ground.progress import PauseReason, Prompt, RunProgress, StickProgress, StopReason
from benchapp.procedures.ground.stick_rules import ALONE_IDLE_NS, stick_figures, stick_patience, tell_stick
from benchapp.procedures.ground.table import State, table_of
from benchapp.procedures.hold.figure import HoldFigure, hold_figure_of
from benchapp.records.method import SEEN_LATE_NS

USUAL_S = 20.0
NEW_FIGURE_EVERY_NS = 1_000_000_000
"""How often a hold that goes on is concluded from anew, at most."""
LET_GO_NS = 1_000_000_000
"""What a hand that has just let go still stirs; the hold begins after it. It is waited for after the first steady
pulses and after each *Carry on*, the stick's lead standing still, and logged as a pause of its own (`settling`).
Without it a stick on its way as Start was pressed counted as held from the first moment: 400 µs of wander. Where its
lead moved all the same the verdict is "cannot tell"."""
STILL_WITHIN_NS = 500_000_000
"""A stick that is not seen to stand still this soon was being moved from the beginning."""


class HoldState(StrEnum):
    """The states of a hold, and of what breaks it off."""

    HOLDING = "holding"
    TOUCHED = "touched"
    LETTING_GO = "letting-go"
    MOVING_ON = "moving-on"


TABLE = table_of(
    {
        (HoldState.HOLDING, Seen.STICK_MOVES): HoldState.TOUCHED,
        (HoldState.HOLDING, Seen.HELD): HoldState.MOVING_ON,
        (HoldState.HOLDING, Seen.ENOUGH): State.ENDED,
        (HoldState.TOUCHED, Seen.STICK_STILL): HoldState.LETTING_GO,
        (HoldState.TOUCHED, Seen.CARRY_ON): HoldState.LETTING_GO,
        (HoldState.MOVING_ON, Seen.STICK_MOVES): HoldState.TOUCHED,
        (HoldState.MOVING_ON, Seen.CARRY_ON): HoldState.LETTING_GO,
        (HoldState.LETTING_GO, Seen.STICK_MOVES): HoldState.TOUCHED,
        (HoldState.LETTING_GO, Seen.RESTED): HoldState.HOLDING,
    },
    {
        HoldState.HOLDING: Prompt.TOUCH_NOTHING,
        HoldState.TOUCHED: Prompt.LET_GO,
        HoldState.LETTING_GO: Prompt.LET_GO,
        HoldState.MOVING_ON: Prompt.NEXT_POSITION,
    },
    ready=HoldState.LETTING_GO,
)
"""Rules: what is not held is a pause, with its reason, and does not count. Only a lead on the stick can tell that it
was touched: what the output does is what is measured. The hold of a position goes on where it was broken off.

Whoever starts a hold, or carries on, has a hand to take away: it begins a second later, and not before the stick's lead
stands still. That wait is a pause too, logged once it is over."""

_AFTER_SETTLING = (HoldState.HOLDING, State.PAUSED, State.ENDED)


class HoldCourse:
    """The holds of one run. Its plan must have a lead on the output; one on the stick tells whether it was touched.

    Without seconds in the plan's settings it lasts until a hand ends it.
    """

    def __init__(self, run: OpenRun, helper: Helper | None = None) -> None:
        """Begin; helper works the figures out."""
        self._run = run
        self._seconds = run.plan.settings.seconds
        self._positions = run.plan.settings.positions or 1
        self.place = PlaceWatch(run)
        self.figures = stick_figures(run, helper, hold_figure_of, before=HoldFigure())
        self._held_ns = 0
        self._since_ns: int | None = None
        self._go_on_ns = 0
        self._settling_ns: int | None = run.plan.start_ns
        self._was_still = False
        self._position = 1

    def means(self, moment: Moment) -> Sequence[Moment]:
        """Return what a moment means; without a lead on the stick, what the pulses do is no touch."""
        self.place.note(moment)
        if moment.seen in (Seen.STICK_MOVES, Seen.STICK_STILL) and not self.place.by_lead:
            return []
        if moment.seen is Seen.STICK_STILL:
            self._was_still = True
            self._go_on_ns = max(self._go_on_ns, moment.at_ns)
        if TABLE.after(self._run.state, moment.seen) in _AFTER_SETTLING:
            self._log_settling(moment.at_ns)
        return [moment]

    def entered(self, moment: Moment, before: StrEnum) -> Sequence[Moment]:
        """Count the time that was held and log the pauses in between, as the run comes into a new state."""
        run, state = self._run, self._run.state
        self.figures.every_ns = NEW_FIGURE_EVERY_NS if state is HoldState.HOLDING else None
        if state is HoldState.HOLDING:
            if run.log.paused:
                run.log.resume(moment.at_ns)
            self._since_ns, self._was_still = moment.at_ns, self.place.still is not None
            return []
        if before is HoldState.HOLDING:
            run.quiet_since_ns = moment.at_ns
        ends_ns = self._left_alone_until(moment.at_ns) if state is HoldState.TOUCHED else moment.at_ns
        self._held_ns, self._since_ns = self._held(ends_ns), None
        if state is HoldState.MOVING_ON:
            self._position, self._held_ns = self._position + 1, 0
            run.log.pause(moment.at_ns, PauseReason.NEXT_POSITION)
        elif state is HoldState.TOUCHED and before is HoldState.HOLDING:
            run.log.pause(ends_ns, PauseReason.TOUCHED)
        elif state is HoldState.LETTING_GO:
            self._go_on_ns = moment.at_ns + LET_GO_NS
            if before is State.REGAINING:
                self._settling_ns = moment.at_ns
        return []

    def timers(self) -> list[Moment]:
        """Return the moments that only time brings: the end of a hold, its beginning, and those of every stick test."""
        run, since_ns, by_lead = self._run, self._since_ns, self.place.by_lead
        broken_off = run.state in (HoldState.TOUCHED, HoldState.LETTING_GO, HoldState.MOVING_ON)
        timers = stick_patience(run, waiting=broken_off)
        if run.state is HoldState.LETTING_GO and (self.place.still is not None or not by_lead):
            timers.append(Moment(at_ns=self._go_on_ns, seen=Seen.RESTED))
        if self._seconds is not None and since_ns is not None:
            over_ns = since_ns + round(self._seconds * 1e9) - self._held_ns
            enough = self._position >= self._positions
            timers.append(Moment(at_ns=over_ns, seen=Seen.ENOUGH if enough else Seen.HELD))
            if run.plan.alone:
                timers.append(self._never_still(self._seconds))
        if by_lead and since_ns is not None and not self._was_still:
            timers.append(Moment(at_ns=since_ns + STILL_WITHIN_NS, seen=Seen.STICK_MOVES))
        return timers

    def tell(self, progress: RunProgress) -> RunProgress:
        """Return the progress with how long it was held, and at which position."""
        run = self._run
        held_s = self._held(run.log.stop_ns or run.now_ns) / 1e9
        stick = StickProgress(
            held_s=held_s if self._seconds is None else min(held_s, self._seconds),
            hold_s=self._seconds,
            position=self._position,
            positions=run.plan.settings.positions,
        )
        still = self.place.still is not None
        return tell_stick(progress, self.figures.found, stick, still=still, left_s=self._left_s())

    def _left_s(self) -> float | None:
        """Return how many seconds are still to be held, None where only a hand ends it."""
        if self._seconds is None:
            return None
        to_hold = self._seconds * (self._positions - self._position + 1)
        return max(to_hold - self._held(self._run.now_ns) / 1e9, 0.0)

    def _log_settling(self, at_ns: int) -> None:
        """Log how long it took until all was still, if that was waited for."""
        if self._settling_ns is not None and at_ns > self._settling_ns:
            self._run.log.pause(self._settling_ns, PauseReason.SETTLING)
            self._run.log.resume(at_ns)
        self._settling_ns = None

    def _never_still(self, seconds: float) -> Moment:
        """Return when a run with nobody there ends at the latest: a stick touched again and again never holds."""
        at_ns = self._run.plan.start_ns + self._positions * (round(seconds * 1e9) + ALONE_IDLE_NS)
        return Moment(at_ns=at_ns, seen=Seen.GIVE_UP, reason=StopReason.NEVER_STILL)

    def _left_alone_until(self, seen_ns: int) -> int:
        """Return until when the stick was left alone, if it was seen to move at seen_ns."""
        since_ns = seen_ns if self._since_ns is None else self._since_ns
        return max(since_ns, seen_ns - SEEN_LATE_NS) if self._was_still else since_ns

    def _held(self, now_ns: int) -> int:
        """Return how long this position was held by now."""
        return self._held_ns + (0 if self._since_ns is None else max(now_ns - self._since_ns, 0))
