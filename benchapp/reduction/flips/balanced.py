"""Figures weighted so that every phase of the frame counts alike, however the flips fell."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from benchapp.records.errors import NotEnoughData
from benchapp.records.findings import Interval
from benchapp.records.stream import frozen_array
from benchapp.reduction.ground.distributions import student_t_quantile

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Balanced:
    """Phase-balanced figures in ms. weights, (n,), sum to 1, are in the order the trials were given.

    Intervals are 95 %; half_width_ms belongs to the mean, with dof = n_eff/2 degrees of freedom.
    median and p95, and each limit, are None where the balanced distribution does not reach so far.
    """

    mean: float
    mean_ci95: Interval
    half_width_ms: float | None
    dof: float
    median: float | None
    median_ci95: Interval
    p95: float | None
    p95_ci95: Interval
    n_eff: float
    weights: Array


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class _Circle:
    """Trials in order of phase: weights and, from them, what every interval needs."""

    order: NDArray[np.intp]
    weights: Array
    n_eff: float
    t: float


def balance(phases: ArrayLike, latencies: ArrayLike, *, frame_ms: float, misses_pulses: bool) -> Balanced:
    """Return the phase-balanced mean, median and 95th percentile of the latencies, with their intervals.

    phases : fractions of the frame, (n,), taken modulo 1; equal ones keep the order given
    latencies : [ms], (n,); frame_ms : the frame period T
    misses_pulses : the output skips pulses, which adds ½(T/n_eff)² to the mean's variance
    With g the gaps to the next phase round the circle and d the steps in latency to it: weights
    w = (g before + g after)/2, n_eff = 1/Σw², and the variance is the larger of ½ Σ w²(d after² + d before²)/2 and
    ½ mean(d²) Σ w². Own derivation; a smooth trend over the phase drops out of d, so that only the unsteady part
    of a latency widens the interval.
    Raises NotEnoughData without trials; one trial has no intervals.
    """
    phase = np.mod(np.asarray(phases, dtype=np.float64), 1.0)
    latency = np.asarray(latencies, dtype=np.float64)
    if phase.shape != latency.shape:
        raise ValueError(f"expected a phase for each latency, got {phase.size} for {latency.size}")
    if latency.size == 0:
        raise NotEnoughData("balanced figures need at least one answered flip; none came")
    circle = _circle(phase)
    return _figures(circle, latency[circle.order], frame_ms if misses_pulses else 0.0)


def balanced_percentile(latencies: ArrayLike, weights: ArrayLike, q: float) -> float | None:
    """Return the weighted quantile q: linear between latencies placed at (weight so far - own weight/2).

    latencies : (n,), any order; weights : (n,), summing to 1. None where q lies outside the outermost places.
    """
    latency = np.asarray(latencies, dtype=np.float64)
    order = np.argsort(latency, kind="stable")
    weight = np.asarray(weights, dtype=np.float64)[order]
    places = np.cumsum(weight) - weight / 2.0
    if not places[0] <= q <= places[-1]:
        return None
    return float(np.interp(q, places, latency[order]))


def _circle(phase: Array) -> _Circle:
    order = np.argsort(phase, kind="stable")
    ordered = phase[order]
    gaps = np.diff(ordered, append=ordered[0] + 1.0)
    weights = (np.roll(gaps, 1) + gaps) / 2.0
    n_eff = 1.0 / float(np.sum(weights**2))
    return _Circle(order=order, weights=weights, n_eff=n_eff, t=student_t_quantile(0.975, n_eff / 2.0))


def _figures(circle: _Circle, latency: Array, missing_frame_ms: float) -> Balanced:
    centre = float(np.sum(circle.weights * latency))
    half_width: float | None = None
    sides: Interval = (None, None)
    if latency.size > 1:
        variance = _variance(circle, latency) + 0.5 * (missing_frame_ms / circle.n_eff) ** 2
        half_width = circle.t * math.sqrt(variance)
        sides = (centre - half_width, centre + half_width)
    weights = np.empty_like(circle.weights)
    weights[circle.order] = circle.weights
    return Balanced(
        mean=centre,
        mean_ci95=sides,
        half_width_ms=half_width,
        dof=circle.n_eff / 2.0,
        median=balanced_percentile(latency, circle.weights, 0.5),
        median_ci95=_percentile_interval(circle, latency, 0.5),
        p95=balanced_percentile(latency, circle.weights, 0.95),
        p95_ci95=_percentile_interval(circle, latency, 0.95),
        n_eff=circle.n_eff,
        weights=frozen_array(weights),
    )


def _percentile_interval(circle: _Circle, latency: Array, q: float) -> Interval:
    point = balanced_percentile(latency, circle.weights, q)
    if point is None or latency.size < 2:
        return None, None
    reached = (latency <= point).astype(np.float64)
    # The floor: a percentile that no phase disputes is still known no better than one flip's share of the circle.
    variance = max(_variance(circle, reached), 0.5 / circle.n_eff**2)
    reach = circle.t * math.sqrt(variance)
    low = balanced_percentile(latency, circle.weights, q - reach)
    high = balanced_percentile(latency, circle.weights, q + reach)
    return low, high


def _variance(circle: _Circle, series: Array) -> float:
    steps = np.diff(series, append=series[0]) ** 2
    squares = circle.weights**2
    local = 0.5 * float(np.sum(squares * (steps + np.roll(steps, 1)) / 2.0))
    pooled = 0.5 * float(np.mean(steps) * np.sum(squares))
    return max(local, pooled)
