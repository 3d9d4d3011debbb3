"""Where the stick stood at every instant of a run, from the samples of its level lead."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

GRID_NS = 10_000_000
CELL_NS = 20_000_000
"""Samples are averaged over 20 ms: at 1 kS/s that takes away most of the noise and of the steps of a 10-bit lead,
while a hand moves no farther than a straight line describes."""
_LONGEST_HOLE_NS = 60_000_000
_FILL_NS = 1_000_000
_MOST_FILLED = 4_000_000
"""Points filled in where only changes were written: more than an hour of them, a millisecond apart."""
LONGEST_TRACK_NS = 12 * 3_600_000_000_000
"""A track is a point every 10 ms over the whole of its span; nobody moves a stick for longer than this."""

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Track:
    """The stick on an even grid of 10 ms.

    begin_ns : the instant of the first point     volts : (n,)     known : bool (n,), False where samples are missing
    noise_v  : SD of a point's own noise          lsb_v : the lead's step, 0 where none shows
    """

    begin_ns: int
    volts: Array
    known: NDArray[np.bool_]
    noise_v: float
    lsb_v: float

    def places(self, times_ns: NDArray[np.int64], *, earlier_ns: float = 0.0) -> tuple[NDArray[np.intp], Array]:
        """Return the grid point before each instant less earlier_ns, and the share of the way to the next.

        Instants outside the grid are moved to its ends.
        """
        at = (times_ns - self.begin_ns - earlier_ns) / GRID_NS
        at = np.clip(at, 0.0, self.volts.size - 1.001)
        before = at.astype(np.intp)
        return before, at - before


def stick_track(
    times_ns: NDArray[np.int64], volts: NDArray[np.float64], *, holes_ns: Sequence[tuple[int, int]] = ()
) -> Track | None:
    """Return the stick's track, or None below two instants of samples and above LONGEST_TRACK_NS.

    holes_ns : (from, to) spans without samples that can be trusted (gaps, pauses). A span of more than 60 ms, and of
    four usual spacings, without samples is a hole too. Samples between which the lead must have stood still, since
    only changes were written down, are filled in; single samples that stick out are taken back to their neighbours.
    """
    times, values = _one_an_instant(times_ns, volts)
    if times.size < 2 or int(times[-1]) - int(times[0]) > LONGEST_TRACK_NS:
        return None
    lsb = _lead_step(values)
    times, values = _with_held(times, values, lsb)
    values = _without_spikes(values)
    cell = (times - times[0]) // CELL_NS
    starts = np.flatnonzero(np.diff(cell, prepend=-1))
    counts = np.diff(np.append(starts, times.size))
    centres = np.add.reduceat((times - times[0]).astype(np.float64), starts) / counts
    means = np.add.reduceat(values, starts) / counts
    grid = np.arange(0.0, centres[-1] + 1.0, GRID_NS)
    if grid.size < 2:
        return None
    begin = int(times[0])
    return Track(
        begin_ns=begin,
        volts=np.interp(grid, centres, means),
        known=_known(grid, centres, [(a - begin, b - begin) for a, b in holes_ns]),
        noise_v=_noise(means),
        lsb_v=lsb,
    )


def _one_an_instant(times: NDArray[np.int64], values: Array) -> tuple[NDArray[np.int64], Array]:
    """Return the samples with the last one of each instant."""
    last = np.append(np.diff(times) > 0, True)[: times.size]
    return times[last], values[last].astype(np.float64)


def _lead_step(values: Array) -> float:
    """Return the smallest step between the values a lead took, 0 where they show no common step."""
    distinct = np.unique(values)
    if distinct.size < 2:
        return 0.0
    steps = np.diff(distinct)
    least = float(steps.min())
    # A lead in steps takes neighbouring values again and again; one without hardly repeats any.
    return least if distinct.size <= values.size / 4 and least > 0 else 0.0


def _with_held(times: NDArray[np.int64], values: Array, lsb: float) -> tuple[NDArray[np.int64], Array]:
    """Return the samples of a lead of which only changes were written, with the still times in between filled in.

    Where no two neighbours are alike, the lead kept its value until the next one: everywhere if most changes are of
    one step, else only over the long spans that end in a usual change. A long span that ends in a jump is a hole.
    """
    steps = np.abs(np.diff(values))
    if not steps.size or float(np.mean(steps == 0)) > 0.001:
        return times, values
    spans = np.diff(times)
    # The same values up and down again, and from each to its neighbour: a lead in steps, followed change by change.
    least = float(steps.min())
    single = np.unique(values).size <= 0.6 * values.size and float(np.mean(steps < 1.5 * least)) > 0.5
    usual = float(np.percentile(steps, 90))
    long = spans > (_FILL_NS if single else 3 * float(np.median(spans)))
    held = long & (steps <= max(2.0 * usual, 2.0 * lsb))
    fill_ns = max(_FILL_NS, int(spans[held].sum()) // _MOST_FILLED)
    counts = np.where(held, (spans - 1) // fill_ns, 0)
    if not counts.any():
        return times, values
    source = np.repeat(np.arange(times.size), np.append(counts, 0) + 1)
    first = np.cumsum(np.append(counts, 0) + 1) - np.append(counts, 0) - 1
    return times[source] + (np.arange(source.size) - first[source]) * fill_ns, values[source]


def _without_spikes(values: Array) -> Array:
    """Return the samples with each one limited to what lies between its neighbours (a median of three)."""
    if values.size < 3:
        return values
    low = np.minimum(values[:-2], values[2:])
    high = np.maximum(values[:-2], values[2:])
    out = values.copy()
    out[1:-1] = np.clip(values[1:-1], low, high)
    return out


def _known(grid: Array, centres: Array, holes: Sequence[tuple[int, int]]) -> NDArray[np.bool_]:
    known = np.ones(grid.size, bool)
    spans = np.diff(centres)
    longest = max(_LONGEST_HOLE_NS, 4.0 * float(np.median(spans))) if spans.size else 0.0
    wide = np.flatnonzero(spans > longest)
    for begin, end in [*zip(centres[wide], centres[wide + 1], strict=True), *holes]:
        known[np.searchsorted(grid, begin, side="right") : np.searchsorted(grid, end, side="left")] = False
    return known


def _noise(means: Array) -> float:
    """Return the SD of one cell's noise, from second differences, which a steady hand leaves at zero."""
    if means.size < 3:
        return 0.0
    bends = np.abs(means[2:] - 2 * means[1:-1] + means[:-2])
    return float(np.median(bends)) / 0.6745 / float(np.sqrt(6.0))
