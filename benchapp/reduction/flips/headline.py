"""The one figure of a run: the mean by whichever estimator knows it best."""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from benchapp.records.codes import Estimator
from benchapp.records.findings import KNOWN_FRAME, ONE_FRAME, Interval
from benchapp.records.stream import frozen_array
from benchapp.reduction.flips.balanced import balance
from benchapp.reduction.flips.switch_ons import rule_of, within_standard
from benchapp.reduction.ground.distributions import student_t_quantile
from benchapp.reduction.ground.summary import mean, mean_half_width

MEAN = Estimator.MEAN
BALANCED_MEAN = Estimator.BALANCED_MEAN
MEAN_OF_SWITCH_ONS = Estimator.MEAN_OF_SWITCH_ONS

STOPPED_ITSELF = 1.1
"""Factor on the half-width of a run that stopped at its target: looking again and again favours narrow moments
(simulated: without it, coverage fell to 88 to 95 %)."""

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class HeadlineEstimate:
    """A mean latency with its 95 % sampling interval; value and interval are None without enough trials.

    weights, (n,), in the order of the trials, sum to 1 and give the value; dof belong to the half-width, infinite ones
    included. rule : how what the set does at any switch-on is found; switch_ons : how many the trials come from.
    """

    estimator: str
    value_ms: float | None
    half_width_ms: float | None
    ci95: Interval
    dof: float | None
    weights: Array
    rule: str = ONE_FRAME
    switch_ons: int = 1


def headline(
    latencies: ArrayLike,
    phases: ArrayLike,
    blocks: ArrayLike,
    *,
    frame_ms: float | None,
    misses_pulses: bool,
    locked_by_gap: bool,
    keeps_step: bool = False,
    stopped_itself: bool = False,
    estimator: str | None = None,
) -> HeadlineEstimate:
    """Return the mean of block means from three switch-on blocks on, else the narrower of plain and balanced mean.

    latencies : [ms], (n,); phases : fractions, (n,), NaN where unknown; blocks : (n,), the switch-on block of each
    frame_ms : the frame period, None if unknown; locked_by_gap : too much of the circle is bare to balance
    keeps_step : the run shows a set in step, whose means of 3 to 7 switch-ons lie anywhere in one frame; the
        half-width is then that of the flips within the switch-ons
    stopped_itself : the run ended at its own target; its half-width is multiplied by 1.1
    estimator : one to use whatever its width, where it can be computed (to repeat a figure with other trials)
    """
    latency, block = np.asarray(latencies, dtype=np.float64), np.asarray(blocks)
    switch_ons = max(int(np.unique(block).size), 1)
    rule = rule_of(switch_ons, keeps_step=keeps_step and frame_ms is not None)
    if rule == ONE_FRAME:
        estimate = _plain_mean(latency)
        phase = np.asarray(phases, dtype=np.float64)
        if frame_ms is not None and not locked_by_gap and latency.size > 1 and bool(np.all(np.isfinite(phase))):
            balanced = _balanced_mean(phase, latency, frame_ms, misses_pulses)
            wanted: dict[str, HeadlineEstimate] = {MEAN: estimate, BALANCED_MEAN: balanced}
            estimate = wanted.get(estimator or "", _narrower(estimate, balanced))
    else:
        estimate = _mean_of_switch_ons(latency, block, rule)
    estimate = replace(estimate, rule=rule, switch_ons=switch_ons)
    return _widened(estimate) if stopped_itself else estimate


def _plain_mean(latency: Array) -> HeadlineEstimate:
    n = latency.size
    weights = np.full(n, 1.0 / n) if n else np.empty(0)
    if n == 0:
        return _estimate(MEAN, None, None, None, weights)
    half_width = mean_half_width(latency)
    return _estimate(MEAN, mean(latency), half_width, None if half_width is None else float(n - 1), weights)


def _balanced_mean(phase: Array, latency: Array, frame_ms: float, misses_pulses: bool) -> HeadlineEstimate:
    figures = balance(phase, latency, frame_ms=frame_ms, misses_pulses=misses_pulses)
    return _estimate(BALANCED_MEAN, figures.mean, figures.half_width_ms, figures.dof, figures.weights)


def _mean_of_switch_ons(latency: Array, blocks: NDArray[np.generic], rule: str) -> HeadlineEstimate:
    _, member, counts = np.unique(blocks, return_inverse=True, return_counts=True)
    means = [mean(latency[member == block]) for block in range(counts.size)]
    weights = 1.0 / (counts.size * counts[member])
    half_width, dof = mean_half_width(means), float(counts.size - 1)
    if rule == KNOWN_FRAME:
        dof = math.inf
        half_width = student_t_quantile(0.975, dof) * within_standard(latency, blocks)
    return _estimate(MEAN_OF_SWITCH_ONS, mean(means), half_width, dof, weights)


def _narrower(plain: HeadlineEstimate, other: HeadlineEstimate) -> HeadlineEstimate:
    if plain.half_width_ms is None or other.half_width_ms is None:
        return plain
    return other if other.half_width_ms < plain.half_width_ms else plain


def _widened(estimate: HeadlineEstimate) -> HeadlineEstimate:
    if estimate.half_width_ms is None:
        return estimate
    half_width = STOPPED_ITSELF * estimate.half_width_ms
    wide = _estimate(estimate.estimator, estimate.value_ms, half_width, estimate.dof, estimate.weights)
    return replace(estimate, half_width_ms=half_width, ci95=wide.ci95)


def _estimate(
    estimator: str, value: float | None, half_width: float | None, dof: float | None, weights: Array
) -> HeadlineEstimate:
    interval = (None, None) if value is None or half_width is None else (value - half_width, value + half_width)
    return HeadlineEstimate(
        estimator=estimator,
        value_ms=value,
        half_width_ms=half_width,
        ci95=interval,
        dof=dof,
        weights=frozen_array(weights),
    )
