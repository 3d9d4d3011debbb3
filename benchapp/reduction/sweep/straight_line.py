"""Least squares: a straight line and a parabola, each with standard uncertainties."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from benchapp.records.errors import NotEnoughData

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, slots=True)
class LeastSquares:
    """The line y = intercept + slope·x through n points, in the form of JCGM 100:2008, H.3.

    slope_u, intercept_u, residual_sd : standard uncertainties and the residuals' SD with n - 2 degrees of freedom;
    None where there are no degrees of freedom
    correlation : of slope and intercept     centre : mean of x, at which the line is known best
    """

    slope: float
    intercept: float
    slope_u: float | None
    intercept_u: float | None
    residual_sd: float | None
    correlation: float
    centre: float
    n: int
    dof: int

    def at(self, x: float) -> float:
        """Return the line's value at x."""
        return self.intercept + self.slope * x


@dataclass(frozen=True, kw_only=True, slots=True)
class Parabola:
    """The curve y = c0 + c1·x + c2·x² by least squares; coefficients and standard uncertainties in that order."""

    coefficients: tuple[float, float, float]
    standard: tuple[float, float, float] | None
    residual_sd: float | None
    n: int


def least_squares(x: ArrayLike, y: ArrayLike) -> LeastSquares:
    """Return the free line of least squares, from sums about the means.

    x, y : (n,), alike in length. Raises NotEnoughData below two distinct x.
    """
    places, values = _pair(x, y)
    n = places.size
    if n < 2 or np.ptp(places) == 0:
        raise NotEnoughData(f"a line needs readings at two different positions at least; {n} at one came")
    centre, level = math.fsum(places) / n, math.fsum(values) / n
    off, high = places - centre, values - level
    squares = math.fsum(off * off)
    slope = math.fsum(off * high) / squares
    # What rounding left of the mean of the residuals belongs to the level.
    level += math.fsum(high - slope * off) / n
    dof = n - 2
    sd = _spread(values - level - slope * off, dof)
    slope_u = None if sd is None else sd / math.sqrt(squares)
    intercept_u = None if sd is None else sd * math.sqrt(math.fsum(places * places) / (n * squares))
    return LeastSquares(
        slope=slope,
        intercept=level - slope * centre,
        slope_u=slope_u,
        intercept_u=intercept_u,
        residual_sd=sd,
        correlation=-math.fsum(places) / math.sqrt(n * math.fsum(places * places)),
        centre=centre,
        n=n,
        dof=dof,
    )


def parabola(x: ArrayLike, y: ArrayLike) -> Parabola:
    """Return the parabola of least squares, solved about the middle of x by orthogonal columns.

    Raises NotEnoughData below three distinct x.
    """
    places, values = _pair(x, y)
    if np.unique(places).size < 3:
        raise NotEnoughData("a parabola needs readings at three different positions at least; fewer came")
    middle, half = float(places.max() + places.min()) / 2.0, float(np.ptp(places)) / 2.0
    z = (places - middle) / half
    columns, triangle = np.linalg.qr(np.column_stack((np.ones_like(z), z, z * z)))
    scaled = np.linalg.solve(triangle, columns.T @ values)
    residuals = values - (scaled[0] + z * (scaled[1] + z * scaled[2]))
    # A second pass takes away what rounding left in the residuals.
    scaled = scaled + np.linalg.solve(triangle, columns.T @ residuals)
    residuals = values - (scaled[0] + z * (scaled[1] + z * scaled[2]))
    back = _unscaled(middle, half)
    sd = _spread(residuals, places.size - 3)
    standard = None
    if sd is not None:
        root = back @ np.linalg.inv(triangle)
        one, two, three = (sd * math.sqrt(float(row @ row)) for row in root)
        standard = (one, two, three)
    c0, c1, c2 = (float(c) for c in back @ scaled)
    return Parabola(coefficients=(c0, c1, c2), standard=standard, residual_sd=sd, n=places.size)


def _unscaled(middle: float, half: float) -> Array:
    """Return the matrix from coefficients in z = (x - middle)/half to coefficients in x."""
    a, b = -middle / half, 1.0 / half
    return np.array([[1.0, a, a * a], [0.0, b, 2.0 * a * b], [0.0, 0.0, b * b]])


def _pair(x: ArrayLike, y: ArrayLike) -> tuple[Array, Array]:
    places, values = np.asarray(x, np.float64), np.asarray(y, np.float64)
    if places.shape != values.shape:
        raise ValueError(f"expected a reading for each position, got {values.size} for {places.size}")
    return places, values


def _spread(residuals: Array, dof: int) -> float | None:
    return math.sqrt(math.fsum(residuals * residuals) / dof) if dof > 0 else None
