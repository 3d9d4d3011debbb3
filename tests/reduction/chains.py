"""Radio sets simulated from clocks alone, many runs at once: no law here is the practice bench's.

A flip at time t is seen at the transmitter's next scan, takes its path, and is carried by the next frame whose packet
gets through; the answer ends a pulse later. Times are ms; arrays are (runs, flips).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

PULSE_MS = (1.1, 1.9)
"""The answering pulse ends so long after it began, up and down by turns (common practice, no source)."""
DWELL_MS, SPREAD_MS = 800.0, 900.0
"""Somebody flips every 0.8 to 1.7 s, not in a beat (from experience, no source)."""
GOLDEN = (5**0.5 - 1) / 2
RESEND_MS = 200.0
"""How much later a straggler comes (from the definition of stragglers: lost packets, retries)."""
MOST_LOST = 40
_TRUTH_FLIPS, _TRUTH_OFFSETS = 4000, 100


@dataclass(frozen=True, kw_only=True)
class Chain:
    """One kind of set, and how it is flipped.

    scan_ms : period of the transmitter's look at the switch, None for a set that needs none (one sampler)
    ppm : how much slower the frame's clock runs than the scan's;  free : the clocks keep no offset
    lost : share of frames that do not get through;  dropped : share of servo pulses that do not come
    straggling : share of answers that come RESEND_MS later;  drift_ms : change of the path over a run
    golden : each flip falls a golden step further round the frame, after a random whole number of frames
    """

    frame_ms: float
    scan_ms: float | None = None
    path_ms: float = 7.3
    ppm: float = 0.0
    lost: float = 0.0
    dropped: float = 0.0
    straggling: float = 0.0
    drift_ms: float = 0.0
    golden: bool = False

    @property
    def period_ms(self) -> float:
        """The frame on the scan's clock."""
        return self.frame_ms * (1 + self.ppm * 1e-6)


@dataclass(frozen=True, kw_only=True)
class Clocks:
    """Where the clocks stood after each switch-on, (runs, 1)."""

    scan_ms: Array
    frame_ms: Array


@dataclass(frozen=True, kw_only=True)
class Made:
    """Runs as a reduction sees them, each (runs, flips), and how long they took, (runs, 1)."""

    at_ms: Array
    latency_ms: Array
    phase: Array
    frames: Array
    missing: Array
    length_ms: Array


def switch_on(chain: Chain, runs: int, rng: np.random.Generator) -> Clocks:
    """Return the clocks of so many switch-ons: nothing holds either of them to the other."""
    scan = rng.random((runs, 1)) * (chain.scan_ms or 0.0)
    return Clocks(scan_ms=scan, frame_ms=rng.random((runs, 1)) * chain.period_ms)


def flip(chain: Chain, clocks: Clocks, flips: int, rng: np.random.Generator) -> Made:
    """Return what comes of so many flips after each switch-on."""
    runs, period = clocks.frame_ms.shape[0], chain.period_ms
    if chain.golden:
        steps = np.ceil(DWELL_MS / period) + rng.integers(0, 25, (runs, flips))
        turns = rng.random((runs, 1)) + np.cumsum(steps + GOLDEN, axis=1)
        at = clocks.frame_ms + turns * period
    else:
        at = np.cumsum(rng.uniform(DWELL_MS, DWELL_MS + SPREAD_MS, (runs, flips)), axis=1)
    length = at[:, -1:] + DWELL_MS
    return _answered(chain, clocks, at, length, rng)


def _answered(chain: Chain, clocks: Clocks, at: Array, length: Array, rng: np.random.Generator) -> Made:
    period = chain.period_ms
    seen = at if chain.scan_ms is None else _next(at, clocks.scan_ms, chain.scan_ms)
    carried = _next(seen + chain.path_ms + chain.drift_ms * at / length, clocks.frame_ms, period)
    before = _next(at, clocks.frame_ms, period) - period
    lost = _in_a_row(chain.lost, at.shape, rng)
    dropped = _in_a_row(chain.dropped, at.shape, rng)
    late = np.where(rng.random(at.shape) < chain.straggling, np.ceil(RESEND_MS / period), 0.0)
    waited = np.rint((carried - before) / period) + lost + dropped + late
    pulse = np.where(np.arange(at.shape[1]) % 2, *PULSE_MS[::-1])
    return Made(
        at_ms=at,
        latency_ms=before + waited * period + pulse - at,
        phase=(at - before) / period % 1.0,
        frames=waited,
        missing=dropped,
        length_ms=length,
    )


def truth_ms(chain: Chain, clocks: Clocks, made: Made) -> Array:
    """Return the mean over flips evenly spread in time, stragglers apart, for each switch-on, (runs,).

    Flips at random moments of the run, and golden steps round the longer of its two periods, are answered by the
    same clocks; what is lost or late is drawn for each. Stragglers are what comes later than the median and two and a
    half frames in the long run.
    """
    rng = np.random.default_rng(8)
    longer = max(chain.scan_ms or 0.0, chain.period_ms)
    turns = np.floor(made.length_ms * rng.random(_TRUTH_FLIPS) / longer)
    at = (turns + np.arange(_TRUTH_FLIPS) * GOLDEN % 1.0) * longer
    long = _answered(chain, clocks, at, made.length_ms, rng).latency_ms
    limit = np.median(long, axis=1, keepdims=True) + 2.5 * chain.period_ms
    usual = np.where(long <= limit, long, np.nan)
    return np.asarray(np.nanmean(usual, axis=1))


def any_truth_ms(chain: Chain, rng: np.random.Generator, *, flips: int) -> float:
    """Return the mean over switch-ons, their clocks evenly spread to each other, of what each gives in the long run."""
    offsets = (np.arange(_TRUTH_OFFSETS)[:, np.newaxis] + 0.5) / _TRUTH_OFFSETS
    clocks = Clocks(scan_ms=np.zeros_like(offsets), frame_ms=offsets * chain.period_ms)
    return float(np.mean(truth_ms(chain, clocks, flip(chain, clocks, flips, rng))))


def _next(at: Array, base: Array, period: float) -> Array:
    return base + np.ceil((at - base) / period) * period


def _in_a_row(share: float, shape: tuple[int, ...], rng: np.random.Generator) -> Array:
    """Return how many frames in a row do not get through."""
    if share <= 0.0:
        return np.zeros(shape)
    return np.minimum(rng.geometric(1 - share, shape) - 1, MOST_LOST).astype(np.float64)
