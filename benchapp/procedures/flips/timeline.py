"""What happens in a run, in the order of its times, however the records were cut."""

from collections.abc import Iterable

from benchapp.procedures.flips.flick_watch import FlickWatch
from benchapp.procedures.flips.flip_watch import FlipWatch
from benchapp.procedures.ground.moments import Moment, Seen
from benchapp.procedures.ground.plan import RunPlan
from benchapp.procedures.ground.signal_watch import SignalChange, SignalWatch
from benchapp.records.stream import Edges, Levels, Record

LONGEST_BURST_NS = 500_000_000
"""A burst of the contact that lasts longer no longer holds up the rest."""


class Timeline:
    """Puts records and a person's wishes in order of time; gives out each moment once nothing earlier can come."""

    def __init__(self, plan: RunPlan) -> None:
        self.signal = SignalWatch(plan.start_ns)
        self._control = plan.leads[plan.control].index
        self._output = plan.leads["output"].index
        self._flips = FlipWatch(hold_off_ns=plan.settings.hold_off_ns, from_ns=plan.start_ns)
        self._flicks = FlickWatch(lead=plan.leads[plan.control], from_ns=plan.start_ns)
        self._moments: list[Moment] = []

    def take(self, record: Record) -> None:
        """Take the next record."""
        match record:
            case Edges() if record.lead == self._control:
                self._note_flips(self._flips.feed(record))
            case Edges() if record.lead == self._output:
                self._note_signal(self.signal.feed(record))
            case Levels() if record.lead == self._control:
                self._note_flips(self._flicks.feed(record))

    def add(self, moment: Moment) -> None:
        """Let a wish take its turn."""
        self._moments.append(moment)

    def settled_ns(self, horizon_ns: int) -> int:
        """Return up to when everything is known, given that every record up to the horizon has been taken [ns]."""
        self._note_flips(self._flips.until(horizon_ns))
        self._note_signal(self.signal.until(horizon_ns))
        burst_ns = self._flips.open_since_ns
        if burst_ns is not None and horizon_ns - burst_ns < LONGEST_BURST_NS:
            return min(horizon_ns, burst_ns - 1)
        return horizon_ns

    def next(self, settled_ns: int, timers: Iterable[Moment]) -> Moment | None:
        """Return the earliest moment, timers included, that is not after settled_ns, and take it off the list."""
        earliest = min((*self._moments, *timers), key=lambda moment: moment.at_ns, default=None)
        if earliest is None or earliest.at_ns > settled_ns:
            return None
        if earliest in self._moments:
            self._moments.remove(earliest)
        return earliest

    def _note_flips(self, times_ns: Iterable[int]) -> None:
        self._moments += [Moment(at_ns=time, seen=Seen.FLIP) for time in times_ns]

    def _note_signal(self, changes: Iterable[SignalChange]) -> None:
        for change in changes:
            seen = Seen.PULSES_STEADY if change.steady else Seen.PULSES_LOST
            self._moments.append(Moment(at_ns=change.at_ns, seen=seen))
