"""Drift of a held output: the slope over blocks, with what the blocks' wandering makes of its uncertainty."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchapp.reduction.ground.distributions import student_t_quantile

FEWEST_BLOCKS = 8
MOST_BLOCKS = 24
PULSES_A_BLOCK = 4
_STRONGEST = 0.95
_LEAST_APART = 2.5
_LEAST_DOF = 0.5
_BIAS = (3.0, 4.0)
"""A short row's residuals about its own line look less alike than they are: r is raised by (3 + 4r)/blocks. Simulated
with these: of holds that wander without a trend, however slowly, 4 to 7 % are called drift; by least squares over
single pulses it was 68 to 96 %."""
_NS_A_MIN = 6e10

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, slots=True)
class Drift:
    """A slope in µs a minute, its standard uncertainty, and the degrees of freedom that has."""

    slope: float
    u: float
    dof: float

    @property
    def half_width(self) -> float:
        """Half the width of its interval for 95 % coverage, by Student's t."""
        return student_t_quantile(0.975, self.dof) * self.u

    @property
    def resolved(self) -> bool:
        """Whether it stands out of chance and wandering."""
        return abs(self.slope) > self.half_width


def drift(at_ns: NDArray[np.int64], us: Array) -> Drift | None:
    """Return the drift of the durations over time, or None below eight blocks of four pulses.

    Blocks are stretches of time, 24 where there are pulses enough; their means' neighbours are alike by r, so that u is
    √((1 + r)/(1 - r)) times that of least squares, and so many fewer of them are independent.
    """
    blocks = min(MOST_BLOCKS, us.size // PULSES_A_BLOCK)
    if blocks < FEWEST_BLOCKS:
        return None
    place = np.minimum(np.arange(us.size) * blocks // us.size, blocks - 1)
    counts = np.bincount(place)
    minutes = np.bincount(place, (at_ns - at_ns[0]) / _NS_A_MIN) / counts
    means = np.bincount(place, us - us[0]) / counts
    off = minutes - minutes.mean()
    squares = float(np.sum(off * off))
    if squares <= 0.0:
        return None
    slope = float(np.sum(off * (means - means.mean()))) / squares
    left = means - means.mean() - slope * off
    total = float(np.sum(left * left))
    if total <= 0.0:
        return Drift(slope=slope, u=0.0, dof=blocks - 2.0)
    alike = float(np.sum(left[1:] * left[:-1])) / total
    alike = min(max(alike + (_BIAS[0] + _BIAS[1] * alike) / blocks, 0.0), _STRONGEST)
    wider = (1.0 + alike) / (1.0 - alike)
    u = math.sqrt(total / (blocks - 2) * wider / squares)
    return Drift(slope=slope, u=u, dof=max(max(blocks / wider, _LEAST_APART) - 2.0, _LEAST_DOF))


def pooled(drifts: Sequence[Drift | None]) -> Drift | None:
    """Return the mean drift of several positions, weighted by what each knows of it."""
    known = [one for one in drifts if one is not None]
    exact = [one for one in known if one.u == 0.0]
    if exact:
        mean = math.fsum(one.slope for one in exact) / len(exact)
        return Drift(slope=mean, u=0.0, dof=min(one.dof for one in exact))
    if not known:
        return None
    weights = [1.0 / (one.u * one.u) for one in known]
    total = math.fsum(weights)
    slope = math.fsum(w * one.slope for w, one in zip(weights, known, strict=True)) / total
    dof = 1.0 / math.fsum((w / total) ** 2 / one.dof for w, one in zip(weights, known, strict=True))
    return Drift(slope=slope, u=1.0 / math.sqrt(total), dof=dof)
