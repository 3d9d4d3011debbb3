"""Volts of a level lead, and the instants at which they cross from one state to another."""

import numpy as np
from numpy.typing import NDArray

from benchapp.records.leads import Lead
from benchapp.records.stream import Levels
from benchapp.waveforms.flips import mid_instant_ns


def volts(levels: Levels, lead: Lead) -> NDArray[np.float64]:
    """Return the samples in volts, float64, (n,); counts are scaled by the lead's descriptor."""
    if np.issubdtype(levels.values.dtype, np.integer) and lead.full_scale_v and lead.full_scale_counts:
        return np.asarray(levels.values * (lead.full_scale_v / lead.full_scale_counts), np.float64)
    return levels.values.astype(np.float64)


def settled_instant_ns(
    times_ns: NDArray[np.int64], samples_v: NDArray[np.float64], *, from_ns: int, to_ns: int
) -> int | None:
    """Return the interpolated 50 % instant of the one move between two instants, [ns].

    State levels are medians over the last tenth of a second before from_ns and before to_ns (IEEE Std 181 usage:
    the mid-reference level lies half-way between the state levels). None where the move is below 8 times
    the noise of those levels, or where there are too few samples.
    """
    before = _span(times_ns, from_ns - 100_000_000, from_ns)
    after = _span(times_ns, to_ns - 100_000_000, to_ns)
    if before.size < 3 or after.size < 3:
        return None
    start, end = float(np.median(samples_v[before])), float(np.median(samples_v[after]))
    noise = float(np.hypot(np.std(samples_v[before]), np.std(samples_v[after])))
    if abs(end - start) <= 8 * noise or end == start:
        return None
    moving = _span(times_ns, from_ns, to_ns)
    middle = (start + end) / 2
    past = samples_v[moving] >= middle if end > start else samples_v[moving] <= middle
    if not past.any() or past[0]:
        return None
    first = int(moving[0])
    return mid_instant_ns(times_ns, samples_v, first, first + int(np.argmax(past)), middle)


def _span(times_ns: NDArray[np.int64], from_ns: int, to_ns: int) -> NDArray[np.int64]:
    lo, hi = np.searchsorted(times_ns, [from_ns, to_ns])
    return np.arange(lo, hi)
