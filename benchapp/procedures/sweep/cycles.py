"""Counts the full cycles of a sweep that goes on, by the rules of the reduction."""

from collections.abc import Sequence

import numpy as np

from benchapp.procedures.ground.evidence_so_far import joined_levels
from benchapp.procedures.ground.open_run import OpenRun
from benchapp.records.stream import Gap, Levels, Record
from benchapp.waveforms.stick_track import stick_track
from benchapp.waveforms.strokes import Stroke, find_moves
from benchapp.waveforms.volts import volts

KEPT_NS = 600_000_000_000
"""The cycles of the last ten minutes are counted anew at each rest, as the reduction does it; those before stand."""
MOST_PARTS = 20_000
"""Of a stick that never comes to rest no more blocks of samples are kept, 20 minutes at 250 samples a second."""


class Cycles:
    """Keeps the stick's samples and counts its strokes, without those that a pause or a gap broke.

    number : the full cycles when they were counted last
    """

    def __init__(self, run: OpenRun) -> None:
        self._run = run
        self._stick = run.plan.leads["stick"]
        self._levels: list[Levels] = []
        self._holes_ns: list[tuple[int, int]] = []
        self._up = self._down = 0
        self.number = 0

    @property
    def kept(self) -> int:
        """How many samples are kept at present."""
        return sum(part.count for part in self._levels)

    def take(self, record: Record) -> None:
        """Keep the samples of the stick's lead, and where some are missing."""
        lead = self._stick.index
        if isinstance(record, Levels) and record.lead == lead:
            self._levels.append(record)
            if len(self._levels) > MOST_PARTS:
                held = joined_levels(self._levels)
                self._levels = [_since(held, int(held.times_ns[-1]) - KEPT_NS)]
        elif isinstance(record, Gap) and (not record.leads or lead in record.leads):
            self._holes_ns.append((record.from_ns, record.to_ns))

    def count(self, now_ns: int) -> bool:
        """Count the cycles up to now [ns]; return whether there are others than at the last time."""
        before = self.number
        held = joined_levels(self._levels)
        self._levels = [held]
        inside = slice(*np.searchsorted(held.times_ns, [self._run.plan.start_ns, now_ns]))
        holes = [*self._holes_ns, *((pause.from_ns, pause.to_ns) for pause in self._run.log.pauses(now_ns))]
        track = stick_track(held.times_ns[inside], volts(held, self._stick)[inside], holes_ns=holes)
        if track is None:
            return False
        moves = find_moves(track, full_scale_v=self._stick.full_scale_v)
        whole = [stroke for stroke in moves.strokes if stroke.whole and not _broken(stroke, holes)]
        up = self._up + sum(stroke.rising for stroke in whole)
        down = self._down + sum(not stroke.rising for stroke in whole)
        self.number = min(up, down)
        self._seal(whole, held, now_ns)
        return self.number != before

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
