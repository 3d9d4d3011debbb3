"""What the machines of the stick tests share: their times in order, pauses, endings, and whether the stick is still."""

from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Generic, TypeVar

from benchapp.procedures.ground.conclusions import Asked, AtOnce, Conclusions, Helper
from benchapp.procedures.ground.drive_request import DriveRequest
from benchapp.procedures.ground.moments import Moment, Seen
from benchapp.procedures.ground.plan import RunPlan
from benchapp.procedures.ground.progress import (
    STOPPED_BY_RULE,
    PauseReason,
    Prompt,
    RunProgress,
    StickProgress,
    StopReason,
)
from benchapp.procedures.ground.run_log import RunLog
from benchapp.procedures.ground.signal_watch import SignalChange, SignalWatch
from benchapp.procedures.ground.stick_figure import StickFigure, stick_figure_of
from benchapp.procedures.ground.still_watch import LAST_CELLS, WAY_CELLS, StillChange, StillWatch
from benchapp.records.events import Event
from benchapp.records.run import Outcome, Stop
from benchapp.records.stream import Edges, Levels, Record
from benchapp.waveforms.volts import volts

LAG_NS = 150_000_000
"""What is older than this has arrived: a probe sends samples in blocks of 16, 64 ms at 250 a second."""
ALONE_PAUSE_NS = 10_000_000_000
ALONE_IDLE_NS = 120_000_000_000
"""With nobody there: the longest pause, and the longest wait for the stick to move."""
STILL_SHARE, AWAY_SHARE = 0.003, 0.01
"""Of a level lead's full scale: readings that agree, and a move."""
STILL_US, AWAY_US = 8.0, 14.0
"""The same of a pulse: most outputs' steps are finer."""
_UNKNOWN_SCALE_V = 3.0

State = TypeVar("State", bound=StrEnum)


@dataclass(frozen=True, kw_only=True, slots=True)
class Rules(Generic[State]):
    """A test's table of states, and those that every stick test has."""

    table: Mapping[tuple[State, Seen], State]
    first: State
    paused: State
    regaining: State
    ended: State


class StickRun(ABC, Generic[State]):
    """One run of a stick test: moments in order through one table; what a test makes of a new state is its own.

    place   : watches where the stick is: by its lead in volts, or by the pulses in µs where no lead is on it
    figures : what the reduction makes of the run so far
    still_v : where it stands still at the moment that is being handled, None while it moves
    """

    def __init__(self, plan: RunPlan, rules: Rules[State], helper: Helper | None = None, *, ending: StopReason) -> None:
        """Plan a run from plan.start_ns on; ending is why it ends when its table says that it has enough.

        helper works the figures out; without one that is done at once.
        """
        self.plan = plan
        self.log = RunLog(plan)
        self.signal = SignalWatch(plan.start_ns)
        self.place = _place_watch(plan)
        self.figures = Conclusions(plan, helper or AtOnce(), stick_figure_of, before=StickFigure(), roles=_roles(plan))
        self._stale_ns: int | None = None
        self.still_v: float | None = None
        self.now_ns = self.quiet_since_ns = plan.start_ns
        self.state = rules.first
        self._rules = rules
        self._moments: list[Moment] = []
        self._ending = ending

    @property
    def ended(self) -> bool:
        """Whether the run is over."""
        return self.state is self._rules.ended

    @property
    def by_lead(self) -> bool:
        """Whether a lead on the stick tells where it is; otherwise only the pulses do."""
        return "stick" in self.plan.leads

    def see(self, records: Sequence[Record], now_ns: int) -> list[Event]:
        """Return the events that these records and the time brought.

        now_ns is the session's clock; every record stamped LAG_NS before it has been given by now.
        """
        self.now_ns = max(self.now_ns, now_ns)
        self.figures.add(records)
        for record in records:
            self.take(record)
        self._settle(self.now_ns - LAG_NS)
        if self._stale_ns is not None and self.may_conclude:
            self.conclude(self._stale_ns)
        return self.log.take()

    def ask(self, seen: Seen, now_ns: int) -> None:
        """Note a wish made at now_ns; it takes its turn among the records."""
        self._moments.append(Moment(at_ns=now_ns, seen=seen, reason=StopReason.BY_HAND if seen is Seen.STOP else ""))

    def drop(self, now_ns: int, flip_ns: int | None = None) -> list[Event]:
        """Return nothing: there is nothing here that can be left out.

        A sweep is fitted as a whole, and a touch in a hold is a pause already: only stops can be left out, and are
        then asked for again. Backspace says so instead of doing nothing.
        """
        return self.log.take()

    def undrop(self, now_ns: int, flip_ns: int | None = None) -> list[Event]:
        """Return nothing: there is nothing here that can be left out."""
        return self.log.take()

    def finish(self, reason: StopReason, at_ns: int) -> list[Event]:
        """Return the events that end the run at once, everything seen so far kept."""
        self._settle(at_ns)
        self.apply(Moment(at_ns=max(at_ns, self.plan.start_ns), seen=Seen.BROKE, reason=reason))
        return self.log.take()

    def flip_request(self) -> DriveRequest | None:
        """Return None: the probe flips nothing here."""
        return None

    def power_requests(self) -> Sequence[DriveRequest]:
        """Return nothing: the transmitter stays on here."""
        return ()

    def progress(self) -> RunProgress:
        """Return the run as it stands."""
        left_s = None if self.ended else self.left_s()
        return RunProgress(
            run=self.plan.run,
            test=self.plan.test,
            prompt=self.prompt(),
            flips=0,
            answered=0,
            stands=not self.ended and self.figures.stands(self.now_ns),
            minutes_left=None if left_s is None else left_s / 60,
            dropped=len(self.log.drops_ns),
            paused=self.log.paused,
            outcome=self.log.outcome,
            stop_reason=self.log.stop_reason,
            stick=self.figures.found.shown(replace(self.shown(), still=self.still_v is not None)),
        )

    @property
    def waits_for_figure(self) -> bool:
        """Whether the run waits for a figure: no rule of a stick test looks at one."""
        return False

    @property
    def may_conclude(self) -> bool:
        """Whether there is time for a figure that nothing waits for."""
        return self.figures.due(self.now_ns)

    def conclude(self, at_ns: int) -> None:
        """Let the reduction conclude from the run up to a moment: at its end, or as soon as there is time."""
        if not self.ended and not self.may_conclude:
            self._stale_ns = at_ns
            return
        self._stale_ns = None
        self.figures.ask(
            Asked(stop_ns=at_ns, pauses=tuple(self.log.pauses(at_ns)), stops=tuple(self.taken())), self.now_ns
        )

    # What a test adds ----------------------------------------------------------------------------------------------

    @abstractmethod
    def prompt(self) -> Prompt:
        """Return the one instruction of the moment."""

    @abstractmethod
    def shown(self) -> StickProgress:
        """Return what the test shows of itself."""

    @abstractmethod
    def entered(self, moment: Moment, before: State) -> None:
        """Do what follows from a new state, pauses and the end apart."""

    @property
    @abstractmethod
    def waiting(self) -> bool:
        """Whether the run waits for somebody to move the stick."""

    def taken(self) -> Sequence[Stop]:
        """Return the stops taken so far; none where the test has none."""
        return ()

    def left_s(self) -> float | None:
        """Return about how many seconds are left to the nearest end, None if not known."""
        seconds = self.plan.settings.seconds
        return None if seconds is None else max(seconds - (self.now_ns - self.plan.start_ns) / 1e9, 0.0)

    def timers(self) -> list[Moment]:
        """Return the moments that only time brings."""
        timers = []
        seconds = self.plan.settings.seconds
        if seconds is not None and self.plan.test == "stick-sweep":
            timers.append(Moment(at_ns=self.plan.start_ns + round(seconds * 1e9), seen=Seen.TIME_OVER))
        without_pulses = (self._rules.first, self._rules.paused, self._rules.regaining)
        if self.plan.alone and self.state in without_pulses:
            timers.append(_give_up(self.quiet_since_ns + ALONE_PAUSE_NS, StopReason.PAUSED_TOO_LONG))
        elif self.plan.alone and self.waiting:
            timers.append(_give_up(self.quiet_since_ns + ALONE_IDLE_NS, StopReason.NO_MOVES))
        return timers

    def take(self, record: Record) -> None:
        """Take the next record."""
        leads = self.plan.leads
        match record:
            case Edges() if record.lead == leads["output"].index:
                self._note_signal(self.signal.feed(record))
                if not self.by_lead:
                    fresh = [(begun, (ended - begun) / 1e3) for begun, ended in self.signal.fresh]
                    self.place.feed(pulse for pulse in fresh if pulse[0] >= self.plan.start_ns)
            case Levels() if self.by_lead and record.lead == leads["stick"].index:
                readings = zip(record.times_ns.tolist(), volts(record, leads["stick"]).tolist(), strict=True)
                self.place.feed(reading for reading in readings if reading[0] >= self.plan.start_ns)

    # The moments in order ------------------------------------------------------------------------------------------

    def _settle(self, horizon_ns: int) -> None:
        """Handle everything up to the horizon, in the order of its times."""
        self._note_signal(self.signal.until(horizon_ns))
        self._note_stillness(self.place.until(horizon_ns))
        while not self.ended:
            earliest = min((*self._moments, *self.timers()), key=lambda moment: moment.at_ns, default=None)
            if earliest is None or earliest.at_ns > horizon_ns:
                return
            if earliest in self._moments:
                self._moments.remove(earliest)
            self._handle(earliest)

    def _handle(self, moment: Moment) -> None:
        if moment.seen is Seen.TIME_OVER:
            self._ending = StopReason.TIME_OVER
        if moment.seen in (Seen.STICK_STILL, Seen.STICK_MOVES):
            self.still_v = moment.value if moment.seen is Seen.STICK_STILL else None
        self.apply(moment)
        lost = self.log.paused == PauseReason.BAD_SIGNAL
        if self.plan.alone and lost and self.state is self._rules.paused and moment.seen is Seen.PULSES_STEADY:
            self.apply(Moment(at_ns=moment.at_ns, seen=Seen.CARRY_ON))
        if self.state is self._rules.regaining and self.signal.steady:
            self.apply(Moment(at_ns=moment.at_ns, seen=Seen.PULSES_STEADY))

    def apply(self, moment: Moment) -> None:
        """Make the transition the table names for this moment, if it names one."""
        after = self._rules.table.get((self.state, moment.seen))
        if after is None:
            return
        before, self.state = self.state, after
        pauses = (self._rules.paused, self._rules.regaining)
        if after is self._rules.ended:
            reason = StopReason(moment.reason) if moment.reason else self._ending
            outcome = Outcome.COMPLETE if reason in STOPPED_BY_RULE else Outcome.CUT_SHORT
            self.log.stop(moment.at_ns, outcome, reason)
            self.conclude(moment.at_ns)
            return
        if after is self._rules.paused:
            lost = moment.seen is Seen.PULSES_LOST
            self.log.pause(moment.at_ns, PauseReason.BAD_SIGNAL if lost else PauseReason.BY_HAND)
            self.quiet_since_ns = moment.at_ns
        elif before in pauses and after not in pauses:
            self.log.resume(moment.at_ns)
            self.quiet_since_ns = moment.at_ns
        self.entered(moment, before)

    def _note_signal(self, changes: list[SignalChange]) -> None:
        for change in changes:
            seen = Seen.PULSES_STEADY if change.steady else Seen.PULSES_LOST
            self._moments.append(Moment(at_ns=change.at_ns, seen=seen))

    def _note_stillness(self, changes: list[StillChange]) -> None:
        for change in changes:
            seen = Seen.STICK_STILL if change.still else Seen.STICK_MOVES
            self._moments.append(Moment(at_ns=change.at_ns, seen=seen, value=change.value))


def _roles(plan: RunPlan) -> list[str]:
    return [role for role in ("stick", "output") if role in plan.leads]


def _give_up(at_ns: int, reason: StopReason) -> Moment:
    return Moment(at_ns=at_ns, seen=Seen.GIVE_UP, reason=reason)


def _place_watch(plan: RunPlan) -> StillWatch:
    lead = plan.leads.get("stick")
    remembered = WAY_CELLS if plan.settings.stops_deg else LAST_CELLS
    if lead is None:
        return StillWatch(tolerance=STILL_US, away=AWAY_US, remembered=remembered)
    scale_v = lead.full_scale_v or _UNKNOWN_SCALE_V
    return StillWatch(tolerance=STILL_SHARE * scale_v, away=AWAY_SHARE * scale_v, remembered=remembered)
