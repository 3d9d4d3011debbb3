"""Whether the latency changed while a run went on: a slope over the means of stretches of it."""

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from benchapp.records.findings import Trend, Trial
from benchapp.reduction.ground.distributions import student_t_quantile

FEWEST_FLIPS = 30
FEWEST_BLOCKS = 8
FLIPS_A_BLOCK = 4
STANDARD_ERRORS = 2.5
CHANCE = 0.99379
"""A slope beyond 2.5 standard errors is a trend. With few blocks the standard error is itself unsure: the limit is
then Student's t for the same chance, that of a normal law up to 2.5 (0.99379): 3.5 at 6 degrees of freedom."""
NS_PER_MIN = 60e9

Array = NDArray[np.float64]


def trend_of(trials: Sequence[Trial]) -> Trend | None:
    """Return the slope of the latency over the run's time; None below 30 flips.

    The flips of each switch-on are cut into stretches of about four in a row, at least eight in all, and the slope is
    fitted to their means, each switch-on about its own mean: its level may be another for a reason that is no trend.
    From eight switch-ons on their means are the stretches.
    """
    if len(trials) < FEWEST_FLIPS:
        return None
    minutes = np.array([trial.at_ns for trial in trials], np.float64) / NS_PER_MIN
    latency = np.array([trial.mid_ms for trial in trials])
    times, means, levels = _stretches(minutes, latency, np.array([trial.block for trial in trials]))
    spread = float(np.sum(times**2))
    dof = times.size - levels - 1
    if dof < 1 or spread <= 0.0:
        return None
    slope = float(np.sum(times * means)) / spread
    standard = math.sqrt(float(np.sum((means - slope * times) ** 2)) / dof / spread)
    return Trend(
        ms_per_min=slope,
        ms_over_run=slope * float(np.ptp(minutes)),
        standard_ms_per_min=standard,
        significant=abs(slope) > max(student_t_quantile(CHANCE, dof), STANDARD_ERRORS) * standard,
    )


def _stretches(minutes: Array, latency: Array, blocks: NDArray[np.int_]) -> tuple[Array, Array, int]:
    """Return times and means of the stretches, both about their level's mean, and how many levels there are."""
    numbers = np.unique(blocks)
    if numbers.size >= FEWEST_BLOCKS:
        parts = [blocks == number for number in numbers]
        return _centred(minutes, parts), _centred(latency, parts), 1
    wanted = max(FEWEST_BLOCKS, latency.size // FLIPS_A_BLOCK)
    times: list[Array] = []
    means: list[Array] = []
    for own in (np.flatnonzero(blocks == number) for number in numbers):
        parts = np.array_split(own, min(max(round(wanted * own.size / latency.size), 1), own.size))
        times.append(_centred(minutes, parts))
        means.append(_centred(latency, parts))
    return np.concatenate(times), np.concatenate(means), numbers.size


def _centred(values: Array, parts: Sequence[NDArray[Any]]) -> Array:
    """Return the mean of each part, about the mean of those means."""
    means = np.array([values[part].mean() for part in parts], np.float64)
    centred: Array = means - means.mean()
    return centred
