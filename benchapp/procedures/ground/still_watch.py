"""Tells when something read many times a second stands still, and when it moves again."""

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass

CELL_NS = 50_000_000
"""Readings are averaged over cells of 50 ms, at whole multiples of it, so that noise is not taken for a move."""
STILL_CELLS = 6
"""It stands still once the cells of 0.3 s agree."""
_FEWEST_CELLS = 3
_AWAY_CELLS = 2
WAY_CELLS = 1 << 16
"""The cells of the last hour, where the way to a stop is looked at."""
LAST_CELLS = 2


@dataclass(frozen=True, kw_only=True, slots=True)
class StillChange:
    """The stick (or pulse) came to stand still at a value, since `since_ns`; or it began to move away from there."""

    at_ns: int
    still: bool
    since_ns: int
    value: float


class StillWatch:
    """Tells standing still from moving, by means over cells of 50 ms; a cell is judged once it is complete.

    tolerance : cells that differ by no more agree     away : it moves once two cells are farther off than this
    trail     : the last cells, as many as are to be remembered, as (end [ns], value), oldest first
    """

    def __init__(self, *, tolerance: float, away: float, remembered: int = WAY_CELLS) -> None:
        self._tolerance = tolerance
        self.away = away
        self._sums: dict[int, tuple[float, int]] = {}
        self._window: deque[tuple[int, float]] = deque()
        self._off = 0
        self.still_value: float | None = None
        self.still_since_ns: int | None = None
        self.trail: deque[tuple[int, float]] = deque(maxlen=remembered)

    def feed(self, readings: Iterable[tuple[int, float]]) -> None:
        """Take readings as (time [ns], value), in any order within what is not yet judged."""
        for at_ns, value in readings:
            total, count = self._sums.get(at_ns // CELL_NS, (0.0, 0))
            self._sums[at_ns // CELL_NS] = (total + value, count + 1)

    def until(self, now_ns: int) -> list[StillChange]:
        """Return the changes of the cells that are over by now, in order."""
        changes: list[StillChange] = []
        for cell in sorted(cell for cell in self._sums if (cell + 1) * CELL_NS <= now_ns):
            total, count = self._sums.pop(cell)
            changes += self._judge(cell, total / count)
        return changes

    def last_two(self) -> list[tuple[int, float]]:
        """Return the last two cells as (end [ns], value), oldest first; fewer if there are no more."""
        return [self.trail[n] for n in range(-min(2, len(self.trail)), 0)]

    def forget(self) -> None:
        """Begin anew: whether it stands still is to be seen again."""
        self._window.clear()
        self.still_value = self.still_since_ns = None
        self._off = 0

    def _judge(self, cell: int, value: float) -> list[StillChange]:
        self.trail.append(((cell + 1) * CELL_NS, value))
        self._window.append((cell, value))
        while self._window[0][0] <= cell - STILL_CELLS:
            self._window.popleft()
        if self.still_value is not None:
            return self._moved(cell, value)
        values = [value for _, value in self._window]
        long_enough = len(values) >= _FEWEST_CELLS and self._window[0][0] <= cell - STILL_CELLS + 2
        if not long_enough or max(values) - min(values) > self._tolerance:
            return []
        self.still_value, self._off = sum(values) / len(values), 0
        self.still_since_ns = self._window[0][0] * CELL_NS
        return [
            StillChange(at_ns=(cell + 1) * CELL_NS, still=True, since_ns=self.still_since_ns, value=self.still_value)
        ]

    def _moved(self, cell: int, value: float) -> list[StillChange]:
        if self.still_value is None or abs(value - self.still_value) <= self.away:
            self._off = 0
            return []
        self._off += 1
        if self._off < _AWAY_CELLS:
            return []
        left = self.still_value
        self.forget()
        self._window.append((cell, value))
        at_ns = (cell + 1) * CELL_NS
        return [StillChange(at_ns=at_ns, still=False, since_ns=at_ns - _AWAY_CELLS * CELL_NS, value=left)]
