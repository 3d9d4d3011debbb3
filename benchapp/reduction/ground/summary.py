"""Mean and standard deviation of a sample, with the mean's interval."""

import math

import numpy as np
from numpy.typing import ArrayLike

from benchapp.records.errors import NotEnoughData
from benchapp.records.findings import Interval
from benchapp.reduction.ground.distributions import student_t_quantile


def mean(values: ArrayLike) -> float:
    """Return the arithmetic mean, from an exactly rounded sum. Raises NotEnoughData without values."""
    data = np.asarray(values, dtype=np.float64)
    if data.size == 0:
        raise NotEnoughData("a mean needs at least one value; none came")
    return math.fsum(data) / data.size


def standard_deviation(values: ArrayLike) -> float | None:
    """Return the sample standard deviation (n - 1), by two passes; None for fewer than two values.

    The second pass takes away what rounding left of the mean (Chan, Golub and LeVeque, The American
    Statistician 37, 1983, 242).
    """
    data = np.asarray(values, dtype=np.float64)
    n = data.size
    if n < 2:
        return None
    deviations = data - mean(data)
    squares = math.fsum(deviations * deviations) - math.fsum(deviations) ** 2 / n
    return math.sqrt(max(squares, 0.0) / (n - 1))


def mean_half_width(values: ArrayLike, level: float = 0.95) -> float | None:
    """Return half the width of the mean's Student t interval (n - 1 degrees of freedom); None below two values."""
    data = np.asarray(values, dtype=np.float64)
    spread = standard_deviation(data)
    if spread is None:
        return None
    return student_t_quantile(0.5 + level / 2.0, data.size - 1) * spread / math.sqrt(data.size)


def mean_interval(values: ArrayLike, level: float = 0.95) -> Interval:
    """Return the mean's Student t interval; (None, None) for fewer than two values."""
    half_width = mean_half_width(values, level)
    if half_width is None:
        return None, None
    centre = mean(values)
    return centre - half_width, centre + half_width
