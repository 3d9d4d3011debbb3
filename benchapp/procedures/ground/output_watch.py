"""Watches the output of a run: when its servo pulses became steady and when they stopped."""

from collections.abc import Iterable

from benchapp.procedures.ground.moments import Moment, Seen
from benchapp.procedures.ground.open_run import OpenRun
from benchapp.procedures.ground.signal_watch import SignalChange
from benchapp.records.stream import Edges, Record


class OutputWatch:
    """Feeds the run's signal with the edges of its output; a pulse is dated as soon as it is over."""

    open_since_ns: int | None = None

    def __init__(self, run: OpenRun) -> None:
        self._signal = run.signal
        self._lead = run.plan.leads["output"].index

    def take(self, record: Record) -> list[Moment]:
        """Take the next record; return the changes of the signal that it brought."""
        if isinstance(record, Edges) and record.lead == self._lead:
            return _moments(self._signal.feed(record))
        return []

    def until(self, horizon_ns: int) -> list[Moment]:
        """Return the change that silence up to the horizon has brought, if any."""
        return _moments(self._signal.until(horizon_ns))


def _moments(changes: Iterable[SignalChange]) -> list[Moment]:
    return [
        Moment(at_ns=change.at_ns, seen=Seen.PULSES_STEADY if change.steady else Seen.PULSES_LOST) for change in changes
    ]
