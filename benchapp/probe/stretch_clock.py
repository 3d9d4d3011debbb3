"""The counter of one stretch: where each of its ticks lies on the session's clock."""

import numpy as np
from numpy.typing import NDArray

from benchapp.probe.account import GapCause
from benchapp.probe.messages import LevelTicks
from benchapp.probe.ticks import TURN, extend_ticks, ticks_to_ns
from benchapp.records.leads import LeadKind, Stretch
from benchapp.records.stream import Gap

_LONGEST_S = 10 * 365 * 86_400  # no session lasts as long, and its nanoseconds fit 64 bits


class StretchClock:
    """One stretch's counter. Ticks are kept relative to the origin, so that they fit 64 bits with a sign."""

    def __init__(self, stretch: Stretch) -> None:
        self.stretch = stretch
        self.edge_bias_ns = {
            lead.index: round(lead.bias_ns) for lead in stretch.leads if lead.kind is not LeadKind.LEVEL
        }
        self.level_bias_ns = {lead.index: round(lead.bias_ns) for lead in stretch.leads if lead.kind is LeadKind.LEVEL}
        self.largest_bias_ns = max((*self.edge_bias_ns.values(), 0))
        self.newest_ns = {lead.index: stretch.origin_ns for lead in stretch.leads}
        self._next_sample: dict[int, tuple[int, int]] = {}
        self._newest = 0
        self._beat = 0

    def follows(self, tick: int) -> bool:
        """Return whether a heartbeat's tick can belong to this stretch."""
        return self._beat <= tick - self.stretch.origin_tick <= self.stretch.board.tick_hz * _LONGEST_S

    def beat(self, tick: int) -> int:
        """Take a heartbeat's tick as the newest; return its time [ns]."""
        self._beat = tick - self.stretch.origin_tick
        self._newest = max(self._newest, self._beat)
        return self.tick_ns(tick)

    def tick_ns(self, tick: int) -> int:
        """Return the time of one whole tick [ns], in whole numbers of any size."""
        hz = self.stretch.board.tick_hz
        return self.stretch.origin_ns + ((tick - self.stretch.origin_tick) * 1_000_000_000 + hz // 2) // hz

    def times_ns(self, ticks: NDArray[np.uint32]) -> NDArray[np.int64]:
        """Return the times of records, bias not subtracted [ns], (n,), and take the latest as the newest."""
        lows = ticks - np.uint32(self.stretch.origin_tick % TURN)  # wraps at 2**32, as the counter does
        relative = extend_ticks(lows, self._newest)
        self._newest = max(self._newest, int(relative.max()))
        return self._to_ns(relative)

    def sample_times_ns(self, message: LevelTicks) -> NDArray[np.int64]:
        """Return the times of level samples, bias not subtracted [ns], (n,)."""
        low = np.array([message.first_tick], np.uint32) - np.uint32(self.stretch.origin_tick % TURN)
        first = int(extend_ticks(low, self._newest)[0])
        return self._to_ns(first + message.step * np.arange(message.counts.size, dtype=np.int64))

    def samples_missing(self, message: LevelTicks, times_ns: NDArray[np.int64]) -> list[Gap]:
        """Return a gap if samples are missing before these. The heartbeats' gap says how many."""
        step_ns = message.step * 1_000_000_000 // self.stretch.board.tick_hz
        last_ns, last_step = self._next_sample.get(message.lead, (0, 0))
        self._next_sample[message.lead] = (int(times_ns[-1]), message.step)
        if last_step != message.step or times_ns[0] - last_ns <= step_ns * 3 // 2:
            return []
        first_ns = int(times_ns[0])
        return [Gap(leads=(message.lead,), from_ns=last_ns, to_ns=first_ns, cause=GapCause.SAMPLES_MISSING)]

    def _to_ns(self, relative: NDArray[np.int64]) -> NDArray[np.int64]:
        return self.stretch.origin_ns + ticks_to_ns(relative, self.stretch.board.tick_hz)
