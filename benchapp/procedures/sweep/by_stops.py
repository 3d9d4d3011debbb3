"""The stick-sweep by stops: the stick is set to marked positions, up and down, and each is taken once all is still."""

from collections.abc import Sequence
from enum import StrEnum
from statistics import median

from benchapp.procedures.ground.conclusions import Helper
from benchapp.procedures.ground.moments import Moment, Seen
from benchapp.procedures.ground.open_run import OpenRun
from benchapp.procedures.ground.place_watch import AWAY_US, STILL_US, PlaceWatch
from benchapp.procedures.ground.progress import Prompt, RunProgress, StickProgress
from benchapp.procedures.ground.stick_rules import seconds_left, stick_figures, stick_patience, tell_stick
from benchapp.procedures.ground.still_watch import CELL_NS, STILL_CELLS, WAY_CELLS
from benchapp.procedures.ground.table import State, table_of
from benchapp.procedures.ground.timers import time_over
from benchapp.procedures.sweep.figure import SweepFigure, sweep_figure_of
from benchapp.procedures.sweep.stops import Stops
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
    """The states in which a sweep by stops measures."""

    SETTING = "setting"
    SETTLING = "settling"
    WENT_PAST = "went-past"


TABLE = table_of(
    {
        (StopState.SETTING, Seen.TAKE): StopState.SETTLING,
        (StopState.SETTLING, Seen.STICK_MOVES): StopState.SETTING,
        (StopState.SETTLING, Seen.PAST): StopState.WENT_PAST,
        (StopState.SETTLING, Seen.TAKEN): StopState.SETTING,
        (StopState.SETTING, Seen.ENOUGH): State.ENDED,
        (StopState.WENT_PAST, Seen.STICK_MOVES): StopState.SETTING,
        (StopState.WENT_PAST, Seen.TAKE): StopState.SETTLING,
    },
    {
        StopState.SETTING: Prompt.SET_STOP,
        StopState.SETTLING: Prompt.KEEP_STILL,
        StopState.WENT_PAST: Prompt.WENT_PAST,
    },
    ready=StopState.SETTING,
)
"""Rules: a stop is taken only while the stick and the pulses stand still, and only if the stick came to it from the
side of the stop before without going past. A stick that moves while it settles has to be set anew."""


class StopCourse:
    """The stops of one sweep. Its plan must have a lead on the output, and settings with stops; one on the stick helps.

    With plan.takes_itself a stop is taken once the stick came to rest.
    """

    def __init__(self, run: OpenRun, helper: Helper | None = None) -> None:
        """Begin; helper works the figures out."""
        self._run = run
        self.place = PlaceWatch(run, remembered=WAY_CELLS)
        self.stops = Stops(run)
        self.figures = stick_figures(run, helper, sweep_figure_of, before=SweepFigure(), stops=self.stops.taken)
        self._by_itself = run.plan.takes_itself or run.plan.alone
        self._pulses: list[tuple[int, float]] = []
        self._settle_at_ns: int | None = None
        self._settling_ns = 0

    def keep_pulses(self, record: Record) -> None:
        """Keep the last pulses of the output, to see whether they stand still."""
        if isinstance(record, Edges) and record.lead == self._run.plan.leads["output"].index:
            self._pulses += [(begun, (ended - begun) / 1e3) for begun, ended in self._run.signal.fresh]

    def means(self, moment: Moment) -> Sequence[Moment]:
        """Return what a moment means: coming to rest may be what takes a stop, and a stop that settled is looked at."""
        self.place.note(moment)
        match moment.seen:
            case Seen.STICK_MOVES:
                self.stops.fresh = True
            case Seen.STICK_STILL:
                self._begin_settling(moment.at_ns)
                if self._run.state is StopState.SETTING and self._by_itself and self.stops.fresh:
                    return [Moment(at_ns=moment.at_ns, seen=Seen.TAKE)]
            case Seen.HELD:
                return self._look(moment.at_ns)
        return [moment]

    def entered(self, moment: Moment, before: StrEnum) -> Sequence[Moment]:
        """See whether all stops were taken, and take one that is still already where nobody has to ask for it."""
        if self._run.state is StopState.SETTLING:
            self._settling_ns = moment.at_ns
            self._settle_at_ns = max(self._settle_at_ns or 0, moment.at_ns)
        if self._run.state is not StopState.SETTING:
            return []
        if before not in (StopState.WENT_PAST, StopState.SETTLING):
            self._run.quiet_since_ns = moment.at_ns
        if self.stops.wanted is not None and self.stops.number >= self.stops.wanted:
            return [Moment(at_ns=moment.at_ns, seen=Seen.ENOUGH)]
        if self._by_itself and self.stops.fresh and self.place.still is not None:
            self._begin_settling(moment.at_ns)
            return [Moment(at_ns=moment.at_ns, seen=Seen.TAKE)]
        return []

    def timers(self) -> list[Moment]:
        """Return the moments that only time brings: the next look at a stop that settles, and those of every sweep."""
        settling = self._run.state is StopState.SETTLING
        timers = time_over(self._run) + stick_patience(self._run, waiting=not settling)
        if settling and self._settle_at_ns is not None and self.place.still is not None:
            timers.append(Moment(at_ns=self._settle_at_ns, seen=Seen.HELD))
        return timers

    def tell(self, progress: RunProgress) -> RunProgress:
        """Return the progress with how many stops were taken and which position comes next."""
        stops, ended, settings = self.stops, self._run.ended, self._run.plan.settings
        marks = settings.stops_deg
        next_deg, rising = stops.next_deg
        a_cycle = 2 * (len(marks) - 1)
        stick = StickProgress(
            cycles=(stops.number - 1) // a_cycle if stops.number else 0,
            cycles_wanted=settings.cycles,
            stops=stops.number,
            stops_wanted=stops.wanted,
            next_deg=None if ended else next_deg,
            mark=None if ended else marks.index(next_deg) + 1,
            marks=len(marks),
            rising=None if ended else rising,
            can_drop=stops.number > 0 and not ended,
            can_undrop=stops.can_take_back and not ended,
        )
        still = self.place.still is not None
        return tell_stick(progress, self.figures.found, stick, still=still, left_s=self._left_s())

    def _left_s(self) -> float | None:
        """Return about how many seconds are left to the nearest end, None if not known."""
        ends = [] if (by_time := seconds_left(self._run)) is None else [by_time]
        last, wanted, number = self.stops.last, self.stops.wanted, self.stops.number
        if wanted is not None:
            each_s = USUAL_STOP_S if last is None else (last[0].to_ns - self._run.plan.start_ns) / 1e9 / number
            ends.append(each_s * max(wanted - number, 0))
        return min(ends, default=None)

    def _begin_settling(self, still_seen_ns: int) -> None:
        self._settle_at_ns = still_seen_ns - STILL_CELLS * CELL_NS + SETTLE_NS + SPAN_NS

    def _look(self, at_ns: int) -> Sequence[Moment]:
        """Take the stop, or say that the stick went past it, or look again a little later."""
        self._pulses = [pulse for pulse in self._pulses if pulse[0] >= at_ns - SPAN_NS]
        seen = [us for begun, us in self._pulses if begun <= at_ns]
        patient = at_ns - self._settling_ns < PATIENCE_NS
        if patient and (len(seen) < FEWEST_PULSES or not _stand_still(seen)):
            self._settle_at_ns = at_ns + AGAIN_NS
            return []
        if self._went_past(at_ns):
            return [Moment(at_ns=at_ns, seen=Seen.PAST)]
        self.stops.take(at_ns - SPAN_NS, at_ns, self.place.still)
        self._run.quiet_since_ns = at_ns
        self.figures.want(at_ns)
        return [Moment(at_ns=at_ns, seen=Seen.TAKEN)]

    def _went_past(self, at_ns: int) -> bool:
        """Return whether the stick, on its way from the stop before, was farther than where it stands now."""
        here, (last, before) = self.place.still, self.stops.last or (None, None)
        if here is None or last is None or before is None:
            return False
        way = [value - here for value in self.place.way(last.to_ns, at_ns)]
        ahead = 1.0 if here > before else -1.0
        beyond = self.place.readings.away
        behind = [n for n, off in enumerate(way) if off * ahead < -beyond]
        coming = way[behind[-1] :] if behind else way
        return any(off * ahead > beyond for off in coming)


def _stand_still(pulses_us: list[float]) -> bool:
    """Return whether the first and the second half of some pulses agree."""
    half = len(pulses_us) // 2
    first, second = pulses_us[:half], pulses_us[half:]
    spread = max(median(first), median(second)) - min(median(first), median(second))
    return spread <= STILL_US and max(pulses_us) - min(pulses_us) <= 2 * AWAY_US
