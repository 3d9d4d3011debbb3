"""The output's step, from the spectrum of how often each duration came."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FEWEST_PULSES = 200
LEAST_TICKS = 2.5
FINEST_BIN_NS = 20.0
"""Stamps finer than this are put together: no receiver's step is shorter than 50 ns, and few pulses lie on it."""
_PEAK = 0.5
_CENTRE_ENDS = 0.3
_PADDING = 4

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, slots=True)
class OutputStep:
    """The step and where the steps lie: values are offset_ns + k·step_ns. strength: height of the peak, up to 1."""

    step_ns: float
    offset_ns: float
    strength: float


def output_step(durations_ns: NDArray[np.int64], *, tick_ns: float) -> OutputStep | None:
    """Return the output's step, from pulses of a moving stick.

    durations_ns : (n,)     tick_ns : the interval of the stamps
    The step is the lowest-frequency peak above one half in the normalised spectrum of the histogram of durations in
    ticks: durations that come in steps pile up at even places, noise of up to a fifth of a step and the stamps'
    own ticks only blunt the peak. (The least difference between durations would give the tick.)
    None below 200 pulses, without a peak, and where the step is below 2.5 ticks.
    """
    if durations_ns.size < FEWEST_PULSES:
        return None
    tick = max(tick_ns, 1e-3)
    bin_ns = tick * max(1, math.floor(FINEST_BIN_NS / tick))
    base = int(durations_ns.min())
    bins = np.floor((durations_ns - base) / bin_ns + 0.5).astype(np.intp)
    counts = np.bincount(bins).astype(np.float64)
    if counts.size < 4 * LEAST_TICKS:
        return None
    size = 1 << (int(counts.size) * _PADDING - 1).bit_length()
    heights = np.abs(np.fft.rfft(counts, size)) / durations_ns.size
    peak = _lowest_peak(heights[: int(size / LEAST_TICKS) + 1])
    if peak is None:
        return None
    filled = np.flatnonzero(counts)
    frequency = _sharpened(filled.astype(np.float64), counts[filled], peak / size, 1.0 / size)
    total = np.sum(counts[filled] * np.exp(-2j * np.pi * frequency * filled)) / durations_ns.size
    step_ns = bin_ns / frequency
    offset_ns = base - float(np.angle(total)) / (2 * np.pi) * step_ns
    return OutputStep(step_ns=step_ns, offset_ns=offset_ns % step_ns, strength=float(np.abs(total)))


def _lowest_peak(heights: Array) -> int | None:
    """Return the place of the first peak above one half beyond the one at zero."""
    low = np.flatnonzero(heights < _CENTRE_ENDS)
    if not low.size:
        return None
    high = np.flatnonzero(heights[low[0] :] > _PEAK)
    if not high.size:
        return None
    first = int(low[0] + high[0])
    ends = np.flatnonzero(heights[first:] <= _PEAK)
    last = first + int(ends[0]) if ends.size else heights.size
    return first + int(np.argmax(heights[first:last]))


def _sharpened(places: Array, counts: Array, frequency: float, apart: float) -> float:
    """Return where the spectrum is highest, by parabolas through three exact values closer and closer together."""
    for _ in range(4):
        three = [abs(np.sum(counts * np.exp(-2j * np.pi * (frequency + d * apart) * places))) for d in (-1, 0, 1)]
        bend = three[0] - 2 * three[1] + three[2]
        if bend >= 0:
            break
        frequency += apart * float(np.clip((three[0] - three[2]) / (2 * bend), -1.0, 1.0))
        apart /= 8
    return float(frequency)
