"""The continuous stick-sweep: slowly from end to end, rests in between, until there are cycles enough."""

from collections.abc import Sequence
from dataclasses import replace
from enum import StrEnum

import numpy as np

from benchapp.procedures.ground.conclusions import Helper
from benchapp.procedures.ground.evidence_so_far import joined_levels
from benchapp.procedures.ground.moments import Moment, Seen
from benchapp.procedures.ground.plan import RunPlan
from benchapp.procedures.ground.progress import Prompt, StickProgress, StopReason
from benchapp.procedures.ground.stick_run import Rules, StickRun
from benchapp.procedures.sweep.guide import LEAST_SHARE, SweepGuide
from benchapp.records.method import FEWEST_CYCLES
from benchapp.records.stream import Gap, Levels, Record
from benchapp.waveforms.stick_track import stick_track
from benchapp.waveforms.strokes import Stroke, find_moves
from benchapp.waveforms.volts import volts

REST_NS = 600_000_000
"""A rest at an end that is long enough; it begins when the stick came to stand still, 0.3 s before that is seen."""
STILL_SEEN_NS = 300_000_000
KEPT_NS = 600_000_000_000
"""The cycles of the last ten minutes are counted anew at each rest, as the reduction does it; those before stand."""
MOST_PARTS = 20_000
"""Of a stick that never comes to rest no more blocks of samples are kept, 20 minutes at 250 samples a second."""
USUAL_CYCLES = FEWEST_CYCLES
_FULL_SCALE_V = 3.0


class SweepState(StrEnum):
    """The states of a continuous sweep of the stick."""

    WAITING_FOR_PULSES = "waiting-for-pulses"
    TO_AN_END = "to-an-end"
    RESTING = "resting"
    RESTED = "rested"
    SWEEPING = "sweeping"
    HALTED = "halted"
    PAUSED = "paused"
    REGAINING = "regaining"
    ENDED = "ended"


OPEN = tuple(state for state in SweepState if state is not SweepState.ENDED)
_MEASURING = (
    SweepState.TO_AN_END,
    SweepState.RESTING,
    SweepState.RESTED,
    SweepState.SWEEPING,
    SweepState.HALTED,
)
NEXT: dict[tuple[SweepState, Seen], SweepState] = {
    (SweepState.WAITING_FOR_PULSES, Seen.PULSES_STEADY): SweepState.TO_AN_END,
    (SweepState.TO_AN_END, Seen.STICK_STILL): SweepState.RESTING,
    (SweepState.RESTING, Seen.RESTED): SweepState.RESTED,
    (SweepState.RESTING, Seen.STICK_MOVES): SweepState.SWEEPING,
    (SweepState.RESTED, Seen.STICK_MOVES): SweepState.SWEEPING,
    (SweepState.RESTED, Seen.ENOUGH): SweepState.ENDED,
    (SweepState.SWEEPING, Seen.STICK_STILL): SweepState.RESTING,
    (SweepState.SWEEPING, Seen.STICK_BETWEEN): SweepState.HALTED,
    (SweepState.HALTED, Seen.STICK_MOVES): SweepState.SWEEPING,
    (SweepState.PAUSED, Seen.CARRY_ON): SweepState.REGAINING,
    (SweepState.REGAINING, Seen.PULSES_STEADY): SweepState.TO_AN_END,
    **{(state, Seen.PULSES_LOST): SweepState.PAUSED for state in _MEASURING},
    **{(state, Seen.HAND_PAUSE): SweepState.PAUSED for state in OPEN if state is not SweepState.PAUSED},
    **{(state, Seen.TIME_OVER): SweepState.ENDED for state in OPEN},
    **{(state, seen): SweepState.ENDED for state in OPEN for seen in (Seen.STOP, Seen.BROKE, Seen.GIVE_UP)},
}
"""Rules: a stroke runs from rest to rest; standing still between the ends is a halt inside a stroke, not a rest.
Enough is looked for only at rest. After a pause the stick is brought to an end anew."""

_RULES = Rules(
    table=NEXT,
    first=SweepState.WAITING_FOR_PULSES,
    paused=SweepState.PAUSED,
    regaining=SweepState.REGAINING,
    ended=SweepState.ENDED,
)
_PROMPTS = {
    SweepState.WAITING_FOR_PULSES: Prompt.WAIT_FOR_PULSES,
    SweepState.TO_AN_END: Prompt.GO_TO_AN_END,
    SweepState.RESTING: Prompt.REST,
    SweepState.RESTED: Prompt.SWEEP,
    SweepState.SWEEPING: Prompt.SWEEP,
    SweepState.HALTED: Prompt.GO_ON,
    SweepState.PAUSED: Prompt.CARRY_ON,
    SweepState.REGAINING: Prompt.WAIT_FOR_PULSES,
    SweepState.ENDED: Prompt.DONE,
}


class StickSweep(StickRun[SweepState]):
    """One continuous sweep. The plan must have leads on the output and on the stick."""

    def __init__(self, plan: RunPlan, helper: Helper | None = None) -> None:
        """Plan a sweep from plan.start_ns on."""
        super().__init__(plan, _RULES, helper, ending=StopReason.ENOUGH_CYCLES)
        self._scale_v = plan.leads["stick"].full_scale_v or _FULL_SCALE_V
        self._guide = SweepGuide(LEAST_SHARE * self._scale_v)
        self._levels: list[Levels] = []
        self._holes_ns: list[tuple[int, int]] = []
        self._rested_at_ns: int | None = None
        self._cycles = self._up = self._down = 0

    @property
    def waiting(self) -> bool:
        """Whether the run waits for somebody to move the stick."""
        return self.state is not SweepState.SWEEPING

    def prompt(self) -> Prompt:
        """Return the one instruction of the moment."""
        return _PROMPTS[self.state]

    def shown(self) -> StickProgress:
        """Return where the stick is and should be, how it goes, and the cycles."""
        guide, trail = self._guide, self.place.last_two()
        low_v, high_v = guide.expected_v
        return StickProgress(
            place=guide.share(trail[-1][1]) if trail else None,
            at_v=trail[-1][1] if trail else None,
            scale_v=self._scale_v,
            low_v=low_v,
            high_v=high_v,
            target=guide.target(trail[-1][0]) if trail else None,
            pace=guide.pace(trail) if self.state is SweepState.SWEEPING else None,
            pace_wanted=None if self.ended else guide.pace_wanted(),
            cycles=self._cycles,
            cycles_wanted=self.plan.settings.cycles,
        )

    def left_s(self) -> float | None:
        """Return about how many seconds are left to the nearest end, None if not known."""
        ends = [] if (by_time := super().left_s()) is None else [by_time]
        wanted = self.plan.settings.cycles
        if wanted is not None:
            ends.append(self._guide.seconds_for(2 * max(wanted - self._cycles, 0)))
        return min(ends, default=None)

    def take(self, record: Record) -> None:
        """Take the next record; the stick's samples are kept to count the cycles in."""
        super().take(record)
        lead = self.plan.leads["stick"].index
        if isinstance(record, Levels) and record.lead == lead:
            self._levels.append(record)
            if len(self._levels) > MOST_PARTS:
                held = joined_levels(self._levels)
                self._levels = [_since(held, int(held.times_ns[-1]) - KEPT_NS)]
        elif isinstance(record, Gap) and (not record.leads or lead in record.leads):
            self._holes_ns.append((record.from_ns, record.to_ns))

    def timers(self) -> list[Moment]:
        """Return the moments that only time brings: the end of a rest, and those of every run."""
        timers = super().timers()
        if self.state is SweepState.RESTING and self._rested_at_ns is not None:
            timers.append(Moment(at_ns=self._rested_at_ns, seen=Seen.RESTED))
        return timers

    def apply(self, moment: Moment) -> None:
        """Make a transition; standing still between the ends is another thing than at one."""
        if moment.seen is Seen.STICK_STILL and moment.value is not None:
            if not self._guide.at_end(moment.value) and self._guide.inside(moment.value):
                super().apply(replace(moment, seen=Seen.STICK_BETWEEN))
                return
            self._guide.rested(moment.value)
        super().apply(moment)

    def entered(self, moment: Moment, before: SweepState) -> None:
        """Count strokes and cycles, and look whether there are enough."""
        if self.state is SweepState.SWEEPING:
            if before is not SweepState.HALTED:
                self._guide.begin(moment.at_ns, moment.value or 0.0)
        elif self.state is SweepState.RESTING and moment.value is not None:
            if self._guide.end(moment.value):
                self.quiet_since_ns = moment.at_ns
            self._rested_at_ns = moment.at_ns + REST_NS - STILL_SEEN_NS
        elif self.state is SweepState.TO_AN_END and self.still_v is not None:
            self.apply(Moment(at_ns=moment.at_ns, seen=Seen.STICK_STILL, value=self.still_v))
        elif self.state is SweepState.RESTED:
            before_it = self._cycles
            self._count(moment.at_ns)
            if self._cycles != before_it:
                self.conclude(moment.at_ns)
            wanted = self.plan.settings.cycles
            if wanted is not None and self._cycles >= wanted:
                super().apply(Moment(at_ns=moment.at_ns, seen=Seen.ENOUGH))

    def _count(self, now_ns: int) -> None:
        """Count the full cycles by the rules of the reduction, without strokes that a pause or a gap broke."""
        lead = self.plan.leads["stick"]
        held = joined_levels(self._levels)
        self._levels = [held]
        inside = slice(*np.searchsorted(held.times_ns, [self.plan.start_ns, now_ns]))
        holes = [*self._holes_ns, *((pause.from_ns, pause.to_ns) for pause in self.log.pauses(now_ns))]
        track = stick_track(held.times_ns[inside], volts(held, lead)[inside], holes_ns=holes)
        if track is not None:
            moves = find_moves(track, full_scale_v=lead.full_scale_v)
            whole = [s for s in moves.strokes if s.whole and not _broken(s, holes)]
            up = self._up + sum(stroke.rising for stroke in whole)
            down = self._down + sum(not stroke.rising for stroke in whole)
            self._cycles = min(up, down)
            self._seal(whole, held, now_ns)

    def _seal(self, whole: list[Stroke], held: Levels, now_ns: int) -> None:
        """Count the older half of what is kept for good, and let go of its samples, once there is much of it."""
        if not held.count or now_ns - int(held.times_ns[0]) < KEPT_NS:
            return
        over = [stroke for stroke in whole if stroke.to_ns <= now_ns - KEPT_NS // 2]
        from_ns = over[-1].to_ns if over else now_ns - KEPT_NS // 2
        self._up += sum(stroke.rising for stroke in over)
        self._down += sum(not stroke.rising for stroke in over)
        self._levels = [_since(held, from_ns)]
        self._holes_ns = [hole for hole in self._holes_ns if hole[1] > from_ns]


def _broken(stroke: Stroke, holes_ns: Sequence[tuple[int, int]]) -> bool:
    return any(begin < stroke.to_ns and end > stroke.from_ns for begin, end in holes_ns)


def _since(levels: Levels, from_ns: int) -> Levels:
    kept = slice(int(np.searchsorted(levels.times_ns, from_ns)), None)
    # a copy: a part of the old samples would keep all of them
    return Levels(lead=levels.lead, times_ns=levels.times_ns[kept].copy(), values=levels.values[kept].copy())
