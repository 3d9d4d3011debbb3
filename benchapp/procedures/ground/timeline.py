"""What happens in a run, in the order of its times, however the records were cut."""

from collections.abc import Iterable, Sequence

from benchapp.procedures.ground.moments import Moment
from benchapp.procedures.ground.parts import Watcher
from benchapp.records.stream import Record

LONGEST_BURST_NS = 500_000_000
"""What a watcher cannot date yet (a burst of the contact) holds up the rest for no longer than this."""


class Timeline:
    """Orders what the watchers tell and a person wishes by time; gives out each once nothing earlier can come."""

    def __init__(self, watchers: Sequence[Watcher]) -> None:
        self._watchers = watchers
        self._moments: list[Moment] = []

    def take(self, record: Record) -> None:
        """Show a record to the watchers."""
        for watcher in self._watchers:
            self._moments += watcher.take(record)

    def add(self, moment: Moment) -> None:
        """Let a wish take its turn."""
        self._moments.append(moment)

    def settled_ns(self, horizon_ns: int) -> int:
        """Return up to when everything is known, given that every record up to the horizon has been taken [ns]."""
        for watcher in self._watchers:
            self._moments += watcher.until(horizon_ns)
        since = [watcher.open_since_ns for watcher in self._watchers]
        return min([horizon_ns, *(ns - 1 for ns in since if ns is not None and horizon_ns - ns < LONGEST_BURST_NS)])

    def next(self, settled_ns: int, timers: Iterable[Moment]) -> Moment | None:
        """Return the earliest moment that is not after settled_ns, timers included, and take it off the list."""
        earliest = min((*self._moments, *timers), key=lambda moment: moment.at_ns, default=None)
        if earliest is None or earliest.at_ns > settled_ns:
            return None
        if earliest in self._moments:
            self._moments.remove(earliest)
        return earliest
