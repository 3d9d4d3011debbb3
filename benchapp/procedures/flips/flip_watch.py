"""Finds flips of the control as they happen, by the same rules as the reduction."""

from dataclasses import dataclass, field

import numpy as np

from benchapp.procedures.ground.evidence_so_far import joined_edges
from benchapp.records.stream import Edges
from benchapp.waveforms.flips import contact_flips


@dataclass(slots=True)
class FlipWatch:
    """Delivers each flip once its burst is over; edges before from_ns belong to no run."""

    hold_off_ns: int
    from_ns: int
    _open: list[Edges] = field(default_factory=list)

    @property
    def open_since_ns(self) -> int | None:
        """When the burst that may still be going on began, [ns]; None if none is."""
        return int(self._open[0].times_ns[0]) if self._open else None

    def feed(self, edges: Edges) -> list[int]:
        """Return t0 of each flip that these edges proved to be over, [ns], in order."""
        if not edges.count:
            return []
        last_ns = int(self._open[-1].times_ns[-1]) if self._open else None
        times = edges.times_ns if last_ns is None else np.concatenate([[last_ns], edges.times_ns])
        self._open.append(edges)
        ends = np.flatnonzero(np.diff(times) >= self.hold_off_ns)
        if not ends.size:
            return []
        held = joined_edges(self._open)
        over = held.count - times.size + int(ends[-1]) + 1
        self._open = [_part(held, over, held.count)]
        return self._flips(_part(held, 0, over))

    def until(self, now_ns: int) -> list[int]:
        """Return t0 of the flip whose burst the quiet up to now has ended, if any, [ns]."""
        if not self._open or now_ns - int(self._open[-1].times_ns[-1]) < self.hold_off_ns:
            return []
        held, self._open = joined_edges(self._open), []
        return self._flips(held)

    def _flips(self, bursts: Edges) -> list[int]:
        times: list[int] = contact_flips(bursts, hold_off_ns=self.hold_off_ns).times_ns.tolist()
        return [time for time in times if time >= self.from_ns]


def _part(edges: Edges, start: int, stop: int) -> Edges:
    return Edges(
        lead=edges.lead,
        times_ns=edges.times_ns[start:stop],
        levels=edges.levels[start:stop],
        flags=edges.flags[start:stop],
    )
