"""The servo pulses a lane has in view: found once, and then only those that are new."""

from dataclasses import replace

import numpy as np

from benchapp.records.run import Polarity
from benchapp.ui.link.live_leads import LiveLead
from benchapp.waveforms.pulses import Pulses, servo_pulses

MOST_PULSE_EDGES = 12_000
"""A window holds no more edges of the quickest servo output; a lead with more carries something else."""
_FOUND_AGAIN = 8
"""The newest pulses are found again with what follows them: an edge that came late, or a dip, changes no older one."""
_FRAMES = 8
"""After so many frames all are found anew, as often as the words beside the lane."""


class KeptPulses:
    """Finds the pulses of one lead. Finding all of them at every frame would cost the frame's time on a fast output."""

    def __init__(self) -> None:
        self._kept: Pulses | None = None
        self._of: tuple[object, ...] = ()
        self._from_ns = self._to_ns = 0
        self._edges = (0, 0)
        self._frames = 0

    def find(self, live: LiveLead, polarity: Polarity, from_ns: int, to_ns: int) -> Pulses | None:
        """Return the pulses between two moments, and maybe some before; None where the lead carries none."""
        times = live.edges.times_ns
        first, last = (int(place) for place in np.searchsorted(times, (from_ns, to_ns)))
        if last - first > MOST_PULSE_EDGES or last == first:
            return None
        newest = (last - first, int(times[last - 1]))
        of = (live, polarity, len(live.gaps))
        self._frames += 1
        goes_on = of == self._of and from_ns >= self._from_ns and to_ns >= self._to_ns and self._frames < _FRAMES
        if self._kept is None or not goes_on:
            self._of, self._from_ns, self._frames = of, from_ns, 0
            edges = live.recent_edges(from_ns=from_ns, to_ns=to_ns)
            self._kept = servo_pulses(edges, live.gaps, polarity=polarity)
        elif newest[1] != self._edges[1]:
            self._kept = _with_newer(self._kept, live, to_ns)
        self._to_ns, self._edges = to_ns, newest
        return self._kept if self._kept.count else None


def _with_newer(kept: Pulses, live: LiveLead, to_ns: int) -> Pulses:
    """Return the pulses with those that came since, up to to_ns; the newest of them are found again."""
    if kept.count <= _FOUND_AGAIN:
        return servo_pulses(live.recent_edges(from_ns=0, to_ns=to_ns), live.gaps, polarity=_known(kept))
    cut = kept.count - _FOUND_AGAIN
    from_ns = int(kept.leading_ns[cut])
    newer = servo_pulses(live.recent_edges(from_ns=from_ns, to_ns=to_ns), live.gaps, polarity=_known(kept))
    broken = newer.broken.copy()
    broken[:1] = kept.broken[cut]
    return replace(
        kept,
        leading_ns=np.concatenate([kept.leading_ns[:cut], newer.leading_ns]),
        trailing_ns=np.concatenate([kept.trailing_ns[:cut], newer.trailing_ns]),
        durations_ns=np.concatenate([kept.durations_ns[:cut], newer.durations_ns]),
        broken=np.concatenate([kept.broken[:cut], broken]),
        glitches_ns=np.concatenate([kept.glitches_ns[kept.glitches_ns < from_ns], newer.glitches_ns]),
    )


def _known(pulses: Pulses) -> Polarity:
    return Polarity.HIGH if pulses.level else Polarity.LOW
