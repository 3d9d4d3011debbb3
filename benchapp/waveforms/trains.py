"""Frames of a module pulse train: several channels one after another on one wire, then a long start gap."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchapp.records.stream import Edges, Gap
from benchapp.waveforms.polarity import LONGEST_PULSE_NS
from benchapp.waveforms.sample import spread_sample
from benchapp.waveforms.transitions import Transitions, state_durations_ns, transitions

_CLEAR_GAP = 1.3
"""The start gap must be at least this many times the longest channel to be told from it."""
_FEWEST_FRAMES = 5


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Train:
    """Complete frames of a pulse train, oldest first.

    values_ns    : int64 [ns], (frames, channels), time between the edges that open successive separators
    completed_ns : int64 [ns], (frames, channels), the edge that completes each value
    begun_ns     : int64 [ns], (frames,), the edge that ends the start gap's wait: the first of the frame
    separator_level : the state of the separators, 0 or 1
    """

    values_ns: NDArray[np.int64]
    completed_ns: NDArray[np.int64]
    begun_ns: NDArray[np.int64]
    separator_ns: float
    separator_level: int
    period_ns: float
    bad_frames: int

    @property
    def channels(self) -> int:
        """The number of channels."""
        return int(self.values_ns.shape[1])


def pulse_train(edges: Edges, gaps: Sequence[Gap] = ()) -> Train | None:
    """Return the frames of a module lead, or None where its edges are no pulse train.

    Polarity, channel count, separator and frame period are found from the data: the separator is the state with the
    steadier durations, the start gap the longest interval of a frame, the count the commonest one.
    """
    line = transitions(edges, gaps, spike_ns=20_000)
    found = _separator(line)
    if found is None:
        return None
    level, separator_ns = found
    opens = np.flatnonzero(line.levels == level)
    starts = line.times_ns[opens]
    breaks = np.cumsum(line.broken)[opens]
    intervals = np.diff(starts)
    whole = np.diff(breaks) == 0
    limit = _gap_limit(spread_sample(intervals[whole]))
    if limit is None:
        return None
    return _frames(starts, whole=whole, limit=limit, separator_ns=separator_ns, level=level)


def _separator(line: Transitions) -> tuple[int, float] | None:
    """Return the state with the steadier durations and their median, or None below five frames' worth of edges."""
    stays = [spread_sample(state_durations_ns(line, level)) for level in (0, 1)]
    if min(stay.size for stay in stays) < 2 * _FEWEST_FRAMES:
        return None
    low, high = (np.percentile(stay, [10, 50, 90]) for stay in stays)
    level = int((high[2] - high[0]) / high[1] < (low[2] - low[0]) / low[1])
    return level, float((low, high)[level][1])


def _gap_limit(intervals: NDArray[np.int64]) -> float | None:
    """Return the time that tells start gaps from channels: the widest ratio among the upper intervals."""
    if intervals.size < 2 * _FEWEST_FRAMES:
        return None
    ordered = np.sort(intervals).astype(np.float64)
    # A train has at most sixteen channels, so at least one interval in seventeen is a start gap.
    upper = ordered[int(0.4 * ordered.size) : ordered.size - max(1, ordered.size // 40)]
    if upper.size < 2 or upper[0] <= 0:
        return None
    ratios = upper[1:] / upper[:-1]
    widest = int(np.argmax(ratios))
    if ratios[widest] < _CLEAR_GAP:
        return None
    return float(np.sqrt(upper[widest] * upper[widest + 1]))


def _frames(
    starts: NDArray[np.int64], *, whole: NDArray[np.bool_], limit: float, separator_ns: float, level: int
) -> Train | None:
    """Cut the intervals at the start gaps and keep the frames with the usual number of channels."""
    intervals = np.diff(starts)
    gaps = np.flatnonzero(intervals > limit)
    counts = np.diff(gaps) - 1
    counts = counts[counts > 0]
    if counts.size < _FEWEST_FRAMES:
        return None
    channels = int(np.bincount(counts).argmax())
    first = gaps[:-1] + 1
    unbroken = np.concatenate([[0], np.cumsum(~whole)])
    last = np.minimum(first + channels, intervals.size)
    good = (np.diff(gaps) - 1 == channels) & (unbroken[last] == unbroken[first])
    rows = first[good][:, None] + np.arange(channels)[None, :]
    if rows.shape[0] < max(_FEWEST_FRAMES, good.size / 2) or channels < 2:
        return None
    values = intervals[rows]
    if np.median(spread_sample(values.ravel())) > LONGEST_PULSE_NS:
        # Servo pulses that come and go also make groups and gaps, but a channel lasts no longer than a servo pulse.
        return None
    begun = starts[first[good]]
    return Train(
        values_ns=values,
        completed_ns=starts[rows + 1],
        begun_ns=begun,
        separator_ns=separator_ns,
        separator_level=level,
        period_ns=float(np.median(np.diff(begun))),
        bad_frames=int((~good).sum()),
    )
