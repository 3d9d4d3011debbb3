"""The figure a run on the practice bench comes nearer to the longer it lasts, by dense integration of the law."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from benchapp.probe.practice import law
from benchapp.probe.practice.options import BenchOptions
from benchapp.probe.practice.radios import Radio

_GRID = 1000
_LOCKED_GRID = 20_000
_GLIDE_GRID = 50
_MOST_LOST_RUNNING = 40


@dataclass(frozen=True, kw_only=True, slots=True)
class LongRun:
    """Mean mid latency over flips evenly spread in time, up and down in equal numbers."""

    mid_ms: float
    up_ms: float
    down_ms: float


def long_run(options: BenchOptions, offset: float | None) -> LongRun:
    """Return the long-run figure at a scan-to-frame offset; None is the mean over all offsets.

    The offset matters only where scan and frame share a clock.
    """
    leading_ms = _mean_wait_ms(options.radio, offset)
    ends = (options.pulse_us(False), options.pulse_us(True))
    up_ms = leading_ms + _mean_rest_ms(options, min(ends), max(ends))
    down_ms = leading_ms + _mean_rest_ms(options, max(ends), min(ends))
    return LongRun(mid_ms=(up_ms + down_ms) / 2, up_ms=up_ms, down_ms=down_ms)


def _mean_wait_ms(radio: Radio, offset: float | None) -> float:
    """Return the mean time from a flip to the beginning of the frame that carries it."""
    if radio.locked and offset is not None:
        flips_ns = _even_ns(radio.frame_ns, _LOCKED_GRID)
        scan_base_ns = np.full(1, round(offset * radio.frame_ns), np.int64)
    else:
        flips_ns = _even_ns(radio.frame_ns, _GRID)[:, np.newaxis]
        scan_base_ns = _even_ns(radio.scan_ns, _GRID)
    carried_ns = law.carried_ns(flips_ns, scan_base_ns, np.zeros(1, np.int64), radio)
    return float(np.mean(carried_ns - flips_ns)) / 1e6


def _even_ns(period_ns: int, count: int) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    return np.rint((np.arange(count) + 0.5) * period_ns / count).astype(np.int64)


def _mean_rest_ms(options: BenchOptions, from_us: float, to_us: float) -> float:
    """Return the mean time from the carrying frame's beginning to the end of the pulse that is the mid answer."""
    total, count = 0.0, 0
    for shares in _answers(options):
        _, mid, _ = law.point_pulses(shares)
        for lost in range(_MOST_LOST_RUNNING):
            pulse = mid + lost
            chance = options.dropout**lost * (1 - options.dropout)
            share = shares[min(pulse, len(shares) - 1)]
            pulse_ms = (from_us + share * (to_us - from_us)) / 1000
            total += chance * (pulse * options.radio.frame_ns / 1e6 + pulse_ms)
        count += 1
    return total / count


def _answers(options: BenchOptions) -> Iterator[tuple[float, ...]]:
    """Yield the shapes an answer can take, each as likely as the others."""
    if options.ramp_ms > 0:
        ramp_ns = round(options.ramp_ms * 1e6)
        for n in range(_GLIDE_GRID):
            yield law.glide_shares(ramp_ns, options.radio.frame_ns, (n + 0.5) / _GLIDE_GRID)
    else:
        yield from map(law.step_shares, options.radio.first_steps)
