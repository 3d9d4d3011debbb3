"""Thousands of runs straight from the law, without a wire: for simulating coverage."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchapp.probe.practice import law
from benchapp.probe.practice.flipper import GOLDEN_STEP, MOST_EXTRA_FRAMES, RANDOM_SPREAD_S
from benchapp.probe.practice.options import BenchOptions, Flips

_FRAMES_AHEAD = 24


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Latencies:
    """Answered flips of many runs, in order of time; every array is (runs, flips).

    at_ns : int64;  up : bool;  *_ms : float64, NaN where the answer lies beyond the frames looked at
    phase : time since the frame began last, as a fraction of it
    frames_to_answer : frames begun after the flip up to the mid answer, missing ones included
    missing_pulses   : how many of those are missing
    """

    at_ns: NDArray[np.int64]
    up: NDArray[np.bool_]
    first_ms: NDArray[np.float64]
    mid_ms: NDArray[np.float64]
    near_final_ms: NDArray[np.float64]
    first_lead_ms: NDArray[np.float64]
    mid_lead_ms: NDArray[np.float64]
    near_final_lead_ms: NDArray[np.float64]
    phase: NDArray[np.float64]
    frames_to_answer: NDArray[np.int64]
    missing_pulses: NDArray[np.int64]


def simulate_latencies(options: BenchOptions, *, runs: int, flips: int, rng: np.random.Generator) -> Latencies:
    """Return the answers of so many runs of so many flips each, every run with its own beginning.

    Flips come as `options.flips` says (with NONE: as with RANDOM). Every run has the options' offset, or with
    `new_offset` one of its own. Dead flips, spikes and glides are left out.
    Raises ValueError for options with a glide.
    """
    if options.ramp_ms > 0:
        raise ValueError("glides are not simulated: set ramp_ms to 0")
    radio = options.radio
    frame_base_ns = rng.integers(0, radio.frame_ns, (runs, 1))
    scan_base_ns = frame_base_ns + np.rint(_offsets(options, runs, rng) * radio.frame_ns).astype(np.int64)
    at_ns = _flip_times_ns(options, frame_base_ns, flips, rng)
    carried_ns = law.carried_ns(at_ns, scan_base_ns, frame_base_ns, radio)
    up = np.broadcast_to((np.arange(flips) % 2 == 0) != options.reverse, at_ns.shape)
    return _answers(options, at_ns, up, frame_base_ns, carried_ns=carried_ns, rng=rng)


def _offsets(options: BenchOptions, runs: int, rng: np.random.Generator) -> NDArray[np.float64]:
    if options.new_offset is not None or not options.radio.locked:  # an unlocked pair drifts through every offset
        return rng.random((runs, 1))
    own = options.radio.own_offset if options.offset is None else options.offset
    return np.full((runs, 1), own)


def _flip_times_ns(
    options: BenchOptions, frame_base_ns: NDArray[np.int64], flips: int, rng: np.random.Generator
) -> NDArray[np.int64]:
    runs = frame_base_ns.shape[0]
    dwell_ns = options.dwell_s * 1e9
    if options.flips is not Flips.GOLDEN:
        gaps_ns = dwell_ns + rng.uniform(0, RANDOM_SPREAD_S * 1e9, (runs, flips))
        return frame_base_ns + np.cumsum(gaps_ns, axis=1).astype(np.int64)
    frame_ns = options.radio.frame_ns
    phases = (rng.random((runs, 1)) + np.arange(flips + 1) * GOLDEN_STEP) % 1.0
    extra = rng.integers(0, MOST_EXTRA_FRAMES + 1, (runs, flips))
    frames = np.ceil(dwell_ns / frame_ns - np.diff(phases, axis=1)).astype(np.int64) + extra
    begun_ns: NDArray[np.int64] = frame_base_ns + np.cumsum(frames, axis=1) * frame_ns
    return begun_ns + np.rint(phases[:, 1:] * frame_ns).astype(np.int64)


def _answers(
    options: BenchOptions,
    at_ns: NDArray[np.int64],
    up: NDArray[np.bool_],
    frame_base_ns: NDArray[np.int64],
    *,
    carried_ns: NDArray[np.int64],
    rng: np.random.Generator,
) -> Latencies:
    frame_ns = options.radio.frame_ns
    shares = _pulse_shares(options, at_ns.shape, rng)
    ahead = shares.shape[-1]
    present = rng.random(shares.shape) >= options.dropout
    jitter_us = rng.uniform(-options.jitter_us, options.jitter_us, shares.shape)
    leading_ns = carried_ns[..., np.newaxis] + np.arange(ahead) * frame_ns
    leading_ms = (leading_ns - at_ns[..., np.newaxis]) / 1e6 + jitter_us / 1000
    trailing_ms = leading_ms + _pulse_us(options, up, shares, rng) / 1000

    first, mid, near_final = (_first_pulse(present & (shares >= point)) for point in law.POINTS)
    begun = (carried_ns - law.next_beat_ns(at_ns, frame_base_ns, frame_ns)) // frame_ns
    lost_before = rng.binomial(begun, options.dropout)
    lost_after = np.sum(~present & (np.arange(ahead) < mid[..., np.newaxis]), axis=-1)
    return Latencies(
        at_ns=at_ns,
        up=up,
        first_ms=_pick(trailing_ms, first),
        mid_ms=_pick(trailing_ms, mid),
        near_final_ms=_pick(trailing_ms, near_final),
        first_lead_ms=_pick(leading_ms, first),
        mid_lead_ms=_pick(leading_ms, mid),
        near_final_lead_ms=_pick(leading_ms, near_final),
        phase=(at_ns - frame_base_ns) % frame_ns / frame_ns,
        frames_to_answer=begun + 1 + mid,
        missing_pulses=lost_before + lost_after,
    )


def _pulse_shares(options: BenchOptions, shape: tuple[int, ...], rng: np.random.Generator) -> NDArray[np.float64]:
    """Return the share of the step each pulse from the carrying one on makes, (runs, flips, pulses)."""
    shapes = [law.step_shares(step) for step in options.radio.first_steps]
    ahead = max(map(len, shapes)) if options.dropout == 0 else _FRAMES_AHEAD
    table = np.array([list(shares) + [1.0] * (ahead - len(shares)) for shares in shapes])
    return np.asarray(table[rng.integers(0, len(shapes), shape)], np.float64)


def _pulse_us(
    options: BenchOptions, up: NDArray[np.bool_], shares: NDArray[np.float64], rng: np.random.Generator
) -> NDArray[np.float64]:
    low_us, high_us = sorted((options.pulse_us(False), options.pulse_us(True)))
    rise_us = np.where(up, high_us - low_us, low_us - high_us)[..., np.newaxis]
    start_us = np.where(up, low_us, high_us)[..., np.newaxis]
    return np.asarray(start_us + shares * rise_us + rng.normal(0, options.noise_us, shares.shape), np.float64)


def _first_pulse(good: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Return which pulse is the first good one, -1 where none is."""
    return np.where(np.any(good, axis=-1), np.argmax(good, axis=-1), -1).astype(np.int64)


def _pick(values: NDArray[np.float64], pulse: NDArray[np.int64]) -> NDArray[np.float64]:
    picked = np.take_along_axis(values, np.maximum(pulse, 0)[..., np.newaxis], axis=-1)[..., 0]
    return np.where(pulse < 0, np.nan, picked)
