"""The stops of a sweep by stops: which position comes next, which were taken, and which were left out."""

from collections.abc import Sequence

from benchapp.procedures.ground.open_run import OpenRun
from benchapp.records.run import Stop


def visited(stops_deg: Sequence[float], number: int) -> tuple[float, bool]:
    """Return the position of a visit, counted from 0, and whether it is come to rising: up, down, up …"""
    turn = len(stops_deg) - 1
    if number == 0 or turn == 0:
        return stops_deg[0], True
    place = (number - 1) % (2 * turn) + 1
    return (stops_deg[place], True) if place <= turn else (stops_deg[2 * turn - place], False)


class Stops:
    """The stops taken so far, each with where the stick stood; the last one may be left out and is then set anew.

    fresh : the stick has moved since the last stop, or that was left out
    """

    def __init__(self, run: OpenRun) -> None:
        self._run = run
        self._taken: list[tuple[Stop, float | None]] = []
        self._retaken: list[tuple[Stop, float | None]] = []
        self.fresh = True

    @property
    def number(self) -> int:
        """How many were taken."""
        return len(self._taken)

    @property
    def wanted(self) -> int | None:
        """How many there are to take, None where only time or a hand ends it."""
        settings = self._run.plan.settings
        return None if settings.cycles is None else 1 + 2 * settings.cycles * (len(settings.stops_deg) - 1)

    @property
    def next_deg(self) -> tuple[float, bool]:
        """The position to set next, and whether it is come to rising."""
        return visited(self._run.plan.settings.stops_deg, self.number)

    @property
    def last(self) -> tuple[Stop, float | None] | None:
        """The last stop with where the stick stood, None before the first."""
        return self._taken[-1] if self._taken else None

    @property
    def can_take_back(self) -> bool:
        """Whether the last drop can be taken back: not once the stop was set anew."""
        if not self._retaken:
            return False
        return self.last is None or self.last[0].to_ns <= self._retaken[-1][0].to_ns

    def taken(self) -> Sequence[Stop]:
        """Return the stops taken so far."""
        return [stop for stop, _ in self._taken]

    def take(self, from_ns: int, to_ns: int, stood: float | None) -> None:
        """Take the next position as a stop between two moments [ns]; stood is where the stick stood then."""
        stop = Stop(position_deg=self.next_deg[0], from_ns=from_ns, to_ns=to_ns)
        self._taken.append((stop, stood))
        self.fresh = False
        self._run.log.stop_taken(stop)

    def drop(self, now_ns: int, at_ns: int | None) -> None:
        """Leave one stop out: the last, which is then asked for again, or the one that ended at at_ns."""
        last, log = self.last, self._run.log
        log.drop(now_ns, [stop.to_ns for stop in self.taken()], at_ns)
        if last is not None and last[0].to_ns in log.drops_ns and not self._run.ended:
            self._retaken.append(self._taken.pop())
            self.fresh = True

    def undrop(self, now_ns: int, at_ns: int | None) -> None:
        """Take back the last drop, or that of the stop that ended at at_ns; not once it was set anew."""
        if self._retaken and at_ns in (None, self._retaken[-1][0].to_ns):
            if not self.can_take_back:
                return
            self._taken.append(self._retaken.pop())
        self._run.log.undrop(now_ns, at_ns)
