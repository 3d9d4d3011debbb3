"""Transitions of a line with every interval that cannot be trusted marked, and spikes taken out."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchapp.records.stream import LOST_BEFORE, Edges, Gap

SPIKE_NS = 100_000
"""A state shorter than 0.1 ms is no servo pulse, separator or pause between pulses: it is a spike. Spikes go before
anything else is looked at."""


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Transitions:
    """Edges of one line, oldest first, ready to be measured.

    times_ns : int64 [ns], (n,)          levels : uint8, (n,), the level after each
    broken   : bool, (n,), the interval that ends at this edge may hide lost edges and is never measured
    spikes_ns: int64 [ns], (m,), where a spike was taken out
    """

    times_ns: NDArray[np.int64]
    levels: NDArray[np.uint8]
    broken: NDArray[np.bool_]
    spikes_ns: NDArray[np.int64]


def transitions(edges: Edges, gaps: Sequence[Gap] = (), *, spike_ns: int = SPIKE_NS) -> Transitions:
    """Return the lead's transitions without spikes.

    gaps must be those that touch this lead. An interval is broken across a gap, before an edge flagged
    LOST_BEFORE, and between two edges to the same level.
    """
    times, levels = edges.times_ns, edges.levels
    broken = (edges.flags & LOST_BEFORE) != 0
    broken[1:] |= levels[1:] == levels[:-1]
    broken[:1] = True
    for gap in gaps:
        first = int(np.searchsorted(times, gap.from_ns, side="right"))
        last = int(np.searchsorted(times, gap.to_ns, side="left"))
        broken[first : last + 1] = True
    return _without_spikes(times, levels, broken, spike_ns)


def _without_spikes(
    times: NDArray[np.int64], levels: NDArray[np.uint8], broken: NDArray[np.bool_], spike_ns: int
) -> Transitions:
    """Take out each cluster of edges closer together than spike_ns.

    A cluster that ends in the state it began in goes whole; one that ends in the other state keeps its first edge.
    """
    close = (np.diff(times) < spike_ns) & ~broken[1:]
    if not close.any():
        return Transitions(times_ns=times, levels=levels, broken=broken, spikes_ns=np.empty(0, np.int64))
    step = np.diff(close.astype(np.int8), prepend=0, append=0)
    first = np.flatnonzero(step == 1)
    last = np.flatnonzero(step == -1)
    returns = (last - first) % 2 == 1
    marks = np.zeros(times.size + 1, np.int64)
    np.add.at(marks, np.where(returns, first, first + 1), 1)
    np.add.at(marks, last + 1, -1)
    keep = np.cumsum(marks[:-1]) == 0
    # A break before a removed edge still lies before the next kept one.
    breaks = np.cumsum(broken)[keep]
    return Transitions(
        times_ns=times[keep],
        levels=levels[keep],
        broken=np.diff(breaks, prepend=0) > 0,
        spikes_ns=times[first],
    )


def state_durations_ns(line: Transitions, level: int) -> NDArray[np.int64]:
    """Return how long the line stayed at a level, each unbroken time, [ns], (m,)."""
    ends = np.flatnonzero((line.levels[1:] != level) & ~line.broken[1:]) + 1
    durations: NDArray[np.int64] = line.times_ns[ends] - line.times_ns[ends - 1]
    return durations
