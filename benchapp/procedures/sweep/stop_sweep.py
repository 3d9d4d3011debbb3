"""The stick-sweep by stops: the stick is set to marked positions, up and down, and each is taken once all is still."""

from collections.abc import Sequence
from enum import StrEnum
from statistics import median

from benchapp.procedures.ground.conclusions import Helper
from benchapp.procedures.ground.moments import Moment, Seen
from benchapp.procedures.ground.plan import RunPlan
from benchapp.procedures.ground.progress import Prompt, StickProgress, StopReason
from benchapp.procedures.ground.stick_run import AWAY_US, STILL_US, Rules, StickRun
from benchapp.procedures.ground.still_watch import CELL_NS, STILL_CELLS
from benchapp.records.events import Event
from benchapp.records.run import Stop
from benchapp.records.stream import Edges, Record

SPAN_NS = 400_000_000
"""A stop is this span; before it the stick has stood still for as long again, which no link's delay outlasts."""
SETTLE_NS = 300_000_000
FEWEST_PULSES = 5
USUAL_STOP_S = 4.0
"""How long a person needs from stop to stop, until it is known (from experience, no source)."""
AGAIN_NS = 100_000_000
PATIENCE_NS = 3_000_000_000
"""An output that never comes to rest is taken as it is after this: how it moves about belongs to it."""


class StopState(StrEnum):
    """The states of a sweep by stops."""

    WAITING_FOR_PULSES = "waiting-for-pulses"
    SETTING = "setting"
    SETTLING = "settling"
    WENT_PAST = "went-past"
    PAUSED = "paused"
    REGAINING = "regaining"
    ENDED = "ended"


OPEN = tuple(state for state in StopState if state is not StopState.ENDED)
_MEASURING = (StopState.SETTING, StopState.SETTLING, StopState.WENT_PAST)
NEXT: dict[tuple[StopState, Seen], StopState] = {
    (StopState.WAITING_FOR_PULSES, Seen.PULSES_STEADY): StopState.SETTING,
    (StopState.SETTING, Seen.TAKE): StopState.SETTLING,
    (StopState.SETTLING, Seen.STICK_MOVES): StopState.SETTING,
    (StopState.SETTLING, Seen.PAST): StopState.WENT_PAST,
    (StopState.SETTLING, Seen.TAKEN): StopState.SETTING,
    (StopState.SETTING, Seen.ENOUGH): StopState.ENDED,
    (StopState.WENT_PAST, Seen.STICK_MOVES): StopState.SETTING,
    (StopState.WENT_PAST, Seen.TAKE): StopState.SETTLING,
    (StopState.PAUSED, Seen.CARRY_ON): StopState.REGAINING,
    (StopState.REGAINING, Seen.PULSES_STEADY): StopState.SETTING,
    **{(state, Seen.PULSES_LOST): StopState.PAUSED for state in _MEASURING},
    **{(state, Seen.HAND_PAUSE): StopState.PAUSED for state in OPEN if state is not StopState.PAUSED},
    **{(state, Seen.TIME_OVER): StopState.ENDED for state in OPEN},
    **{(state, seen): StopState.ENDED for state in OPEN for seen in (Seen.STOP, Seen.BROKE, Seen.GIVE_UP)},
}
"""Rules: a stop is taken only while the stick and the pulses stand still, and only if the stick came to it from the
side of the stop before without going past. A stick that moves while it settles has to be set anew."""

_RULES = Rules(
    table=NEXT,
    first=StopState.WAITING_FOR_PULSES,
    paused=StopState.PAUSED,
    regaining=StopState.REGAINING,
    ended=StopState.ENDED,
)
_PROMPTS = {
    StopState.WAITING_FOR_PULSES: Prompt.WAIT_FOR_PULSES,
    StopState.SETTING: Prompt.SET_STOP,
    StopState.SETTLING: Prompt.KEEP_STILL,
    StopState.WENT_PAST: Prompt.WENT_PAST,
    StopState.PAUSED: Prompt.CARRY_ON,
    StopState.REGAINING: Prompt.WAIT_FOR_PULSES,
    StopState.ENDED: Prompt.DONE,
}


def visited(stops_deg: Sequence[float], number: int) -> tuple[float, bool]:
    """Return the position of a visit, counted from 0, and whether it is come to rising: up, down, up …"""
    turn = len(stops_deg) - 1
    if number == 0 or turn == 0:
        return stops_deg[0], True
    place = (number - 1) % (2 * turn) + 1
    return (stops_deg[place], True) if place <= turn else (stops_deg[2 * turn - place], False)


class StopSweep(StickRun[StopState]):
    """One sweep by stops. The plan must have a lead on the output, and settings with stops; one on the stick helps."""

    def __init__(self, plan: RunPlan, helper: Helper | None = None) -> None:
        """Plan a sweep from plan.start_ns on; with plan.takes_itself a stop is taken once the stick came to rest."""
        super().__init__(plan, _RULES, helper, ending=StopReason.ALL_STOPS)
        self._by_itself = plan.takes_itself or plan.alone
        self._stops: list[Stop] = []
        self._retaken: list[tuple[Stop, float | None]] = []
        self._pulses: list[tuple[int, float]] = []
        self._moved = True
        self._settle_at_ns: int | None = None
        self._settling_ns = 0
        self._stood_v: list[float | None] = []

    @property
    def waiting(self) -> bool:
        """Whether the run waits for somebody to move the stick."""
        return self.state is not StopState.SETTLING

    @property
    def wanted(self) -> int | None:
        """How many stops there are to take, None where only time or a hand ends it."""
        cycles = self.plan.settings.cycles
        return None if cycles is None else 1 + 2 * cycles * (len(self.plan.settings.stops_deg) - 1)

    def prompt(self) -> Prompt:
        """Return the one instruction of the moment."""
        return _PROMPTS[self.state]

    def shown(self) -> StickProgress:
        """Return how many stops were taken and which position comes next."""
        marks = self.plan.settings.stops_deg
        next_deg, rising = visited(marks, len(self._stops))
        a_cycle = 2 * (len(marks) - 1)
        return StickProgress(
            cycles=(len(self._stops) - 1) // a_cycle if self._stops else 0,
            cycles_wanted=self.plan.settings.cycles,
            stops=len(self._stops),
            stops_wanted=self.wanted,
            next_deg=None if self.ended else next_deg,
            mark=None if self.ended else marks.index(next_deg) + 1,
            marks=len(marks),
            rising=None if self.ended else rising,
            can_drop=bool(self._stops) and not self.ended,
            can_undrop=self._can_take_back() and not self.ended,
        )

    def taken(self) -> Sequence[Stop]:
        """Return the stops taken so far."""
        return self._stops

    def left_s(self) -> float | None:
        """Return about how many seconds are left to the nearest end, None if not known."""
        ends = [] if (by_time := super().left_s()) is None else [by_time]
        if self.wanted is not None:
            done = len(self._stops)
            each_s = (self._stops[-1].to_ns - self.plan.start_ns) / 1e9 / done if done else USUAL_STOP_S
            ends.append(each_s * max(self.wanted - done, 0))
        return min(ends, default=None)

    def drop(self, now_ns: int, flip_ns: int | None = None) -> list[Event]:
        """Return the event that leaves one stop out: the last, which is then asked for again, or the one at flip_ns."""
        last = self._stops[-1] if self._stops else None
        self.log.drop(now_ns, [stop.to_ns for stop in self._stops], flip_ns)
        if last is not None and last.to_ns in self.log.drops_ns and not self.ended:
            self._retaken.append((self._stops.pop(), self._stood_v.pop()))
            self._moved = True
        return self.log.take()

    def undrop(self, now_ns: int, flip_ns: int | None = None) -> list[Event]:
        """Return the event that takes back the last drop, or that of the stop at flip_ns; not once it was set anew."""
        again = self._retaken[-1][0] if self._retaken else None
        if again is not None and flip_ns in (None, again.to_ns):
            if not self._can_take_back():
                return self.log.take()
            stop, stood_v = self._retaken.pop()
            self._stops.append(stop)
            self._stood_v.append(stood_v)
        self.log.undrop(now_ns, flip_ns)
        return self.log.take()

    def take(self, record: Record) -> None:
        """Take the next record; the last pulses are kept to see whether they stand still."""
        super().take(record)
        if isinstance(record, Edges) and record.lead == self.plan.leads["output"].index:
            self._pulses += [(begun, (ended - begun) / 1e3) for begun, ended in self.signal.fresh]

    def timers(self) -> list[Moment]:
        """Return the moments that only time brings: the next look at a stop that settles, and those of every run."""
        timers = super().timers()
        if self.state is StopState.SETTLING and self._settle_at_ns is not None and self.still_v is not None:
            timers.append(Moment(at_ns=self._settle_at_ns, seen=Seen.HELD))
        return timers

    def apply(self, moment: Moment) -> None:
        """Make a transition; a stop that has settled is looked at first."""
        if moment.seen is Seen.STICK_MOVES:
            self._moved = True
        if moment.seen is Seen.STICK_STILL:
            self._begin_settling(moment.at_ns)
            if self.state is StopState.SETTING and self._by_itself and self._moved:
                moment = Moment(at_ns=moment.at_ns, seen=Seen.TAKE)
        if moment.seen is Seen.HELD:
            self._look(moment.at_ns)
            return
        super().apply(moment)

    def entered(self, moment: Moment, before: StopState) -> None:
        """Take a stop that is still already where nobody has to ask for it, and see whether all were taken."""
        if self.state is StopState.SETTLING:
            self._settling_ns = moment.at_ns
            self._settle_at_ns = max(self._settle_at_ns or 0, moment.at_ns)
        if self.state is not StopState.SETTING:
            return
        if before is not StopState.WENT_PAST and before is not StopState.SETTLING:
            self.quiet_since_ns = moment.at_ns
        if self.wanted is not None and len(self._stops) >= self.wanted:
            super().apply(Moment(at_ns=moment.at_ns, seen=Seen.ENOUGH))
        elif self._by_itself and self._moved and self.still_v is not None:
            self._begin_settling(moment.at_ns)
            super().apply(Moment(at_ns=moment.at_ns, seen=Seen.TAKE))

    def _can_take_back(self) -> bool:
        """Return whether the last drop can be taken back: not once the stop was set anew."""
        if not self._retaken:
            return False
        return not self._stops or self._stops[-1].to_ns <= self._retaken[-1][0].to_ns

    def _begin_settling(self, still_seen_ns: int) -> None:
        self._settle_at_ns = still_seen_ns - STILL_CELLS * CELL_NS + SETTLE_NS + SPAN_NS

    def _look(self, at_ns: int) -> None:
        """Take the stop, or say that the stick went past it, or look again a little later."""
        self._pulses = [pulse for pulse in self._pulses if pulse[0] >= at_ns - SPAN_NS]
        seen = [us for begun, us in self._pulses if begun <= at_ns]
        patient = at_ns - self._settling_ns < PATIENCE_NS
        if patient and (len(seen) < FEWEST_PULSES or not _stand_still(seen)):
            self._settle_at_ns = at_ns + AGAIN_NS
            return
        if self._went_past(at_ns):
            super().apply(Moment(at_ns=at_ns, seen=Seen.PAST))
            return
        position_deg, _ = visited(self.plan.settings.stops_deg, len(self._stops))
        stop = Stop(position_deg=position_deg, from_ns=at_ns - SPAN_NS, to_ns=at_ns)
        self._stops.append(stop)
        self.log.stop_taken(stop)
        self._stood_v.append(self.still_v)
        self._moved, self.quiet_since_ns = False, at_ns
        self.conclude(at_ns)
        super().apply(Moment(at_ns=at_ns, seen=Seen.TAKEN))

    def _went_past(self, at_ns: int) -> bool:
        """Return whether the stick, on its way from the stop before, was farther than where it stands now."""
        here, before = self.still_v, self._stood_v[-1] if self._stops else None
        if here is None or before is None:
            return False
        since_ns = self._stops[-1].to_ns
        way = [(value - here) for end_ns, value in self.place.trail if since_ns < end_ns <= at_ns]
        ahead = 1.0 if here > before else -1.0
        beyond = self.place.away
        behind = [n for n, off in enumerate(way) if off * ahead < -beyond]
        coming = way[behind[-1] :] if behind else way
        return any(off * ahead > beyond for off in coming)


def _stand_still(pulses_us: list[float]) -> bool:
    """Return whether the first and the second half of some pulses agree."""
    half = len(pulses_us) // 2
    first, second = pulses_us[:half], pulses_us[half:]
    spread = max(median(first), median(second)) - min(median(first), median(second))
    return spread <= STILL_US and max(pulses_us) - min(pulses_us) <= 2 * AWAY_US
