"""A lead's evidence as a row of values in writing order: what a VCD or a CSV puts down line by line."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchapp.records.stream import Edges, Gap
from benchapp.sessions.exchange.capture import CaptureLead
from benchapp.sessions.exchange.states import UNKNOWN


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Sequence:
    """Times int64 [ns], (n,), sorted, and states uint8, (n,): 0, 1 or UNKNOWN, in writing order."""

    times_ns: NDArray[np.int64]
    states: NDArray[np.uint8]


def spans_of(gaps: tuple[Gap, ...], start_ns: int, stop_ns: int) -> list[tuple[int, int]]:
    """Return the spans of the gaps inside the capture, oldest first, those that touch joined."""
    spans: list[tuple[int, int]] = []
    inside = (gap for gap in gaps if gap.to_ns >= start_ns and gap.from_ns <= stop_ns)
    for begin, end in sorted((max(gap.from_ns, start_ns), min(gap.to_ns, stop_ns)) for gap in inside):
        if spans and begin <= spans[-1][1]:
            spans[-1] = (spans[-1][0], max(end, spans[-1][1]))
        else:
            spans.append((begin, end))
    return spans


def state_sequence(lead: CaptureLead, edges: Edges, start_ns: int, stop_ns: int) -> Sequence:
    """Return what must be written so that a reader who takes first values as states finds exactly these edges.

    The state before the first edge is written at start_ns; a lead without edges whose state nobody knows gets no
    value. A gap is UNKNOWN from its start; at its end stands the state before the next edge, where an edge follows
    before the next gap, else it stays UNKNOWN. Two edges to the same level with no gap between them lost one of the
    other kind: UNKNOWN and the other level are written at the later one.
    """
    times, levels = edges.times_ns, edges.levels
    extra: list[tuple[int, int, int]] = []  # (before which edge, time, state), in order
    cuts = _cuts(times, spans_of(lead.gaps, start_ns, stop_ns))
    first_cut = cuts[0].first if cuts else times.size + 1
    if times.size and first_cut > 0:
        extra.append((0, min(start_ns, int(times[0])), 1 - int(levels[0])))
    elif not times.size and lead.initial is not None and not cuts:
        extra.append((0, start_ns, lead.initial))
    for place, cut in enumerate(cuts):
        extra += _gap_rows(cut, cuts[place + 1].first if place + 1 < len(cuts) else times.size, edges, lead)
    within = {edge for cut in cuts for edge in range(cut.first, cut.last + 1)}
    for edge in np.flatnonzero(levels[1:] == levels[:-1]).tolist():
        if edge + 1 not in within:
            stamp = int(times[edge + 1])
            extra += [(edge + 1, stamp, UNKNOWN), (edge + 1, stamp, 1 - int(levels[edge + 1]))]
    extra.sort(key=lambda row: row[0])
    places = [row[0] for row in extra]
    return Sequence(
        times_ns=np.insert(times, places, [row[1] for row in extra]).astype(np.int64),
        states=np.insert(levels, places, [row[2] for row in extra]).astype(np.uint8),
    )


@dataclass(frozen=True, slots=True)
class _Cut:
    """A gap and the edges first up to last − 1 that lie inside it; edge `last` is the first one behind it."""

    begin: int
    end: int
    first: int
    last: int


def _cuts(times: NDArray[np.int64], spans: list[tuple[int, int]]) -> list[_Cut]:
    cuts = []
    for begin, end in spans:
        first = int(np.searchsorted(times, begin, side="right"))
        cuts.append(_Cut(begin, end, first, max(first, int(np.searchsorted(times, end, side="left")))))
    return cuts


def _gap_rows(cut: _Cut, next_first: int, edges: Edges, lead: CaptureLead) -> list[tuple[int, int, int]]:
    rows = [(cut.first, cut.begin, UNKNOWN)]
    for edge in range(cut.first, cut.last):
        stamp = int(edges.times_ns[edge])
        rows += [(edge, stamp, 1 - int(edges.levels[edge])), (edge + 1, stamp, UNKNOWN)]
    if cut.last < next_first:
        rows.append((cut.last, cut.end, 1 - int(edges.levels[cut.last])))
    elif not edges.count and lead.initial is not None and next_first == edges.count:
        rows.append((cut.last, cut.end, lead.initial))
    return rows
