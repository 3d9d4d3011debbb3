"""Finds flicks of a stick through mid-travel as they happen, by the same rules as the reduction."""

from dataclasses import dataclass, field

import numpy as np

from benchapp.procedures.ground.evidence_so_far import joined_levels
from benchapp.records.leads import Lead
from benchapp.records.stream import Levels
from benchapp.waveforms.flips import stick_flips
from benchapp.waveforms.volts import volts

LEAST_TRAVEL = 0.1
"""Less than this part of the full scale is noise or a stick at rest, not a flick."""
KEPT_NS = 1_000_000_000
"""This much before the last flick is kept, so that both ends of the travel stay in view."""
LONGEST_NS = 60_000_000_000
"""Without a flick no more than the last minute is looked at: one takes less than a second."""
SAME_FLICK_NS = 20_000_000
"""Seen again with more samples, a flick may lie a little elsewhere."""


@dataclass(slots=True)
class FlickWatch:
    """Delivers each flick once; flicks before from_ns belong to no run."""

    lead: Lead
    from_ns: int
    _parts: list[Levels] = field(default_factory=list)
    _last_flick_ns: int | None = None

    def feed(self, levels: Levels) -> list[int]:
        """Return the mid-travel instant of each flick these samples completed, [ns], in order."""
        if not levels.count:
            return []
        self._parts.append(levels)
        held = joined_levels(self._parts)
        if held.times_ns[-1] - held.times_ns[0] > LONGEST_NS:
            held = _since(held, int(held.times_ns[-1]) - LONGEST_NS // 2)
        self._parts = [held]
        samples = volts(held, self.lead)
        if np.ptp(samples) < LEAST_TRAVEL * (self.lead.full_scale_v or 0.0):
            return []
        fresh = [time for time in stick_flips(held.times_ns, samples).times_ns.tolist() if self._is_new(time)]
        if fresh:
            self._last_flick_ns = fresh[-1]
            self._parts = [_since(held, fresh[-1] - KEPT_NS)]
        return [time for time in fresh if time >= self.from_ns]

    def _is_new(self, time_ns: int) -> bool:
        return self._last_flick_ns is None or time_ns > self._last_flick_ns + SAME_FLICK_NS


def _since(levels: Levels, from_ns: int) -> Levels:
    kept = slice(int(np.searchsorted(levels.times_ns, from_ns)), None)
    return Levels(lead=levels.lead, times_ns=levels.times_ns[kept], values=levels.values[kept])
