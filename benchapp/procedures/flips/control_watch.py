"""Watches the control of a switch-flip run: the switch, or the stick that is flicked where no lead is on the switch."""

from collections.abc import Iterable

from benchapp.procedures.flips.flick_watch import FlickWatch
from benchapp.procedures.flips.flip_watch import FlipWatch
from benchapp.procedures.ground.moments import Moment, Seen
from benchapp.procedures.ground.plan import RunPlan
from benchapp.records.stream import Edges, Levels, Record


class ControlWatch:
    """Tells each flip once, as a moment at its beginning."""

    def __init__(self, plan: RunPlan) -> None:
        lead = plan.leads[plan.control]
        self._lead = lead.index
        self._flips = FlipWatch(hold_off_ns=plan.settings.hold_off_ns, from_ns=plan.start_ns)
        self._flicks = FlickWatch(lead=lead, from_ns=plan.start_ns)

    @property
    def open_since_ns(self) -> int | None:
        """When a burst of the contact that may still be going on began [ns]; None if none is."""
        return self._flips.open_since_ns

    def take(self, record: Record) -> list[Moment]:
        """Take the next record; return the flips that it proved to be over."""
        match record:
            case Edges() if record.lead == self._lead:
                return _flips(self._flips.feed(record))
            case Levels() if record.lead == self._lead:
                return _flips(self._flicks.feed(record))
        return []

    def until(self, horizon_ns: int) -> list[Moment]:
        """Return the flip whose burst the quiet up to the horizon has ended, if any."""
        return _flips(self._flips.until(horizon_ns))


def _flips(times_ns: Iterable[int]) -> list[Moment]:
    return [Moment(at_ns=time, seen=Seen.FLIP) for time in times_ns]
