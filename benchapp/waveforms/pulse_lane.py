"""What a lane of servo pulses shows: their lengths over time where they would stand too close, else the pulses."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from benchapp.records.stream import Gap
from benchapp.waveforms.pulses import Pulses

LEAST_PX = 4.0
"""Edges closer together than this run into each other, and their bars beat with the screen's columns (moiré)."""
_STOPPED_AFTER_FRAMES = 2.5
_USUAL_MS = (1.0, 2.0)
_STEP_MS = 0.5


def too_close(pulses: Pulses, ns_a_px: float) -> bool:
    """Return whether the two edges of a typical pulse would stand closer together than 4 px."""
    return bool(pulses.count) and float(np.median(pulses.durations_ns)) / ns_a_px < LEAST_PX


def pulse_lengths(pulses: Pulses, gaps: Sequence[Gap] = ()) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """Return the beginning of each pulse [ns] and its length [ms], (n,) each.

    Where pulses stopped (for more than two and a half frames) or records are missing, a NaN ends the line: a length
    that is not known is not drawn on.
    """
    times, lengths = pulses.leading_ns, pulses.durations_ns / 1e6
    if times.size < 2:
        return times, lengths
    waits = np.diff(times)
    frame_ns = float(np.median(waits))
    after = np.flatnonzero((waits > _STOPPED_AFTER_FRAMES * frame_ns) | pulses.broken[1:])
    breaks = np.concatenate([times[after] + round(frame_ns), np.array([gap.from_ns for gap in gaps], np.int64)])
    whole = np.concatenate([times, breaks])
    order = np.argsort(whole, kind="stable")
    return whole[order], np.concatenate([lengths, np.full(breaks.size, np.nan)])[order]


def length_limits_ms(lengths_ms: NDArray[np.float64]) -> tuple[float, float]:
    """Return the scale of lengths: 1 to 2 ms, wider in steps of half a millisecond where they need it."""
    known = lengths_ms[np.isfinite(lengths_ms)]
    if not known.size:
        return _USUAL_MS
    low, high = float(known.min()), float(known.max())
    return (
        min(_USUAL_MS[0], np.floor(low / _STEP_MS) * _STEP_MS),
        max(_USUAL_MS[1], np.ceil(high / _STEP_MS) * _STEP_MS),
    )
