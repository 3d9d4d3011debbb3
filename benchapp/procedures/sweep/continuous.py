"""The continuous stick-sweep: slowly from end to end, rests in between, until there are cycles enough."""

from collections.abc import Sequence
from dataclasses import replace
from enum import StrEnum

from benchapp.procedures.ground.conclusions import Helper
from benchapp.procedures.ground.moments import Moment, Seen
from benchapp.procedures.ground.open_run import OpenRun
from benchapp.procedures.ground.place_watch import UNKNOWN_SCALE_V, PlaceWatch
from benchapp.procedures.ground.progress import Prompt, RunProgress, StickProgress
from benchapp.procedures.ground.stick_rules import seconds_left, stick_figures, stick_patience, tell_stick
from benchapp.procedures.ground.table import State, table_of
from benchapp.procedures.ground.timers import time_over
from benchapp.procedures.sweep.cycles import Cycles
from benchapp.procedures.sweep.figure import SweepFigure, sweep_figure_of
from benchapp.procedures.sweep.guide import LEAST_SHARE, SweepGuide
from benchapp.records.method import FEWEST_CYCLES

REST_NS = 600_000_000
"""A rest at an end that is long enough; it begins when the stick came to stand still, 0.3 s before that is seen."""
STILL_SEEN_NS = 300_000_000
USUAL_CYCLES = FEWEST_CYCLES


class SweepState(StrEnum):
    """The states in which a continuous sweep measures."""

    TO_AN_END = "to-an-end"
    RESTING = "resting"
    RESTED = "rested"
    SWEEPING = "sweeping"
    HALTED = "halted"


TABLE = table_of(
    {
        (SweepState.TO_AN_END, Seen.STICK_STILL): SweepState.RESTING,
        (SweepState.RESTING, Seen.RESTED): SweepState.RESTED,
        (SweepState.RESTING, Seen.STICK_MOVES): SweepState.SWEEPING,
        (SweepState.RESTED, Seen.STICK_MOVES): SweepState.SWEEPING,
        (SweepState.RESTED, Seen.ENOUGH): State.ENDED,
        (SweepState.SWEEPING, Seen.STICK_STILL): SweepState.RESTING,
        (SweepState.SWEEPING, Seen.STICK_BETWEEN): SweepState.HALTED,
        (SweepState.HALTED, Seen.STICK_MOVES): SweepState.SWEEPING,
    },
    {
        SweepState.TO_AN_END: Prompt.GO_TO_AN_END,
        SweepState.RESTING: Prompt.REST,
        SweepState.RESTED: Prompt.SWEEP,
        SweepState.SWEEPING: Prompt.SWEEP,
        SweepState.HALTED: Prompt.GO_ON,
    },
    ready=SweepState.TO_AN_END,
)
"""Rules: a stroke runs from rest to rest; standing still between the ends is a halt inside a stroke, not a rest.
Enough is looked for only at rest. After a pause the stick is brought to an end anew."""


class SweepCourse:
    """The strokes of one continuous sweep. Its plan must have leads on the output and on the stick."""

    def __init__(self, run: OpenRun, helper: Helper | None = None) -> None:
        """Begin; helper works the figures out."""
        self._run = run
        self.place = PlaceWatch(run)
        self.figures = stick_figures(run, helper, sweep_figure_of, before=SweepFigure())
        self.cycles = Cycles(run)
        self._scale_v = run.plan.leads["stick"].full_scale_v or UNKNOWN_SCALE_V
        self._guide = SweepGuide(LEAST_SHARE * self._scale_v)
        self._rested_at_ns: int | None = None

    def means(self, moment: Moment) -> Sequence[Moment]:
        """Return what a moment means: standing still between the ends is another thing than at one."""
        self.place.note(moment)
        if moment.seen is not Seen.STICK_STILL or moment.value is None:
            return [moment]
        if not self._guide.at_end(moment.value) and self._guide.inside(moment.value):
            return [replace(moment, seen=Seen.STICK_BETWEEN)]
        self._guide.rested(moment.value)
        return [moment]

    def entered(self, moment: Moment, before: StrEnum) -> Sequence[Moment]:
        """Guide the strokes, count the cycles at rest, and look whether there are enough."""
        match self._run.state:
            case SweepState.SWEEPING if before is not SweepState.HALTED:
                self._guide.begin(moment.at_ns, moment.value or 0.0)
            case SweepState.RESTING if moment.value is not None:
                if self._guide.end(moment.value):
                    self._run.quiet_since_ns = moment.at_ns
                self._rested_at_ns = moment.at_ns + REST_NS - STILL_SEEN_NS
            case SweepState.TO_AN_END if self.place.still is not None:
                return self.means(Moment(at_ns=moment.at_ns, seen=Seen.STICK_STILL, value=self.place.still))
            case SweepState.RESTED:
                return self._count(moment.at_ns)
        return []

    def timers(self) -> list[Moment]:
        """Return the moments that only time brings: the end of a rest, and those of every sweep."""
        state = self._run.state
        timers = time_over(self._run) + stick_patience(self._run, waiting=state is not SweepState.SWEEPING)
        if state is SweepState.RESTING and self._rested_at_ns is not None:
            timers.append(Moment(at_ns=self._rested_at_ns, seen=Seen.RESTED))
        return timers

    def tell(self, progress: RunProgress) -> RunProgress:
        """Return the progress with where the stick is and should be, how it goes, and the cycles."""
        guide, trail = self._guide, self.place.readings.last_two()
        low_v, high_v = guide.expected_v
        stick = StickProgress(
            place=guide.share(trail[-1][1]) if trail else None,
            at_v=trail[-1][1] if trail else None,
            scale_v=self._scale_v,
            low_v=low_v,
            high_v=high_v,
            target=guide.target(trail[-1][0]) if trail else None,
            pace=guide.pace(trail) if self._run.state is SweepState.SWEEPING else None,
            pace_wanted=None if self._run.ended else guide.pace_wanted(),
            cycles=self.cycles.number,
            cycles_wanted=self._run.plan.settings.cycles,
        )
        still = self.place.still is not None
        return tell_stick(progress, self.figures.found, stick, still=still, left_s=self._left_s())

    def _count(self, now_ns: int) -> Sequence[Moment]:
        if self.cycles.count(now_ns):
            self.figures.want(now_ns)
        wanted = self._run.plan.settings.cycles
        return [Moment(at_ns=now_ns, seen=Seen.ENOUGH)] if wanted is not None and self.cycles.number >= wanted else []

    def _left_s(self) -> float | None:
        """Return about how many seconds are left to the nearest end, None if not known."""
        ends = [] if (by_time := seconds_left(self._run)) is None else [by_time]
        wanted = self._run.plan.settings.cycles
        if wanted is not None:
            ends.append(self._guide.seconds_for(2 * max(wanted - self.cycles.number, 0)))
        return min(ends, default=None)
