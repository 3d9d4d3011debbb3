"""The edges, the first state and the gaps in a row of states."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchapp.records.stream import Edges, Gap, frozen_array

UNKNOWN = 2
"""The code of a state that is neither 0 nor 1."""
UNKNOWN_STATE = "state-unknown"
"""The cause of a gap that stands in a capture as unknown values."""


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Transitions:
    """What a row of states says."""

    edges: Edges
    initial: int | None
    gaps: tuple[Gap, ...]


def transitions(times_ns: NDArray[np.int64], states: NDArray[np.uint8], *, lead: int, stop_ns: int) -> Transitions:
    """Return the edges, the first known state and the gaps of one lead.

    times_ns : int64 [ns], (n,), sorted; states : uint8, (n,), 0, 1 or UNKNOWN
    The first state, and the first known one after an unknown one, is a state and no edge. A repeated state is
    nothing new. An unknown state is a gap until the next known one, or until stop_ns.
    """
    fresh = np.ones(states.size, dtype=bool)
    np.not_equal(states[1:], states[:-1], out=fresh[1:])
    times, levels = (times_ns, states) if fresh.all() else (times_ns[fresh], states[fresh])
    known = levels != UNKNOWN
    if known.all():
        edges = Edges(
            lead=lead,
            times_ns=frozen_array(times[1:]),
            levels=frozen_array(levels[1:]),
            flags=frozen_array(np.zeros(max(levels.size - 1, 0), dtype=np.uint8)),
        )
        return Transitions(edges=edges, initial=int(levels[0]) if levels.size else None, gaps=())
    is_edge = known.copy()
    is_edge[0] = False
    is_edge[1:] &= known[:-1]
    edges = Edges(
        lead=lead,
        times_ns=frozen_array(times[is_edge]),
        levels=frozen_array(levels[is_edge]),
        flags=frozen_array(np.zeros(int(is_edge.sum()), dtype=np.uint8)),
    )
    initial = int(levels[np.argmax(known)]) if known.any() else None
    return Transitions(edges=edges, initial=initial, gaps=_gaps(times, ~known, lead, stop_ns))


def _gaps(times: NDArray[np.int64], unknown: NDArray[np.bool_], lead: int, stop_ns: int) -> tuple[Gap, ...]:
    begins = np.flatnonzero(unknown)
    ends = np.append(times, stop_ns)[begins + 1]
    pairs = zip(times[begins].tolist(), ends.tolist(), strict=True)
    return tuple(Gap(leads=(lead,), from_ns=begin, to_ns=end, cause=UNKNOWN_STATE) for begin, end in pairs)
