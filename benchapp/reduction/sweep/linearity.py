"""Linearity figures of a transfer curve: every line, hysteresis, repeatability, symmetry, in µs and % of span."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from benchapp.records.stream import frozen_array
from benchapp.records.sweep_findings import CurveLeastSquares, CurveLine, TransferCurve
from benchapp.reduction.sweep.closest_cubic import cubic_deviation
from benchapp.reduction.sweep.closest_line import Line, independent_line, terminal_line, zero_based_line
from benchapp.reduction.sweep.repeatability import Repeatability
from benchapp.reduction.sweep.straight_line import least_squares, parabola
from benchapp.reduction.sweep.transfer_curve import Curve

RESOLVED = 3.7
"""A largest-of figure below so many standard uncertainties of one up-down difference may be noise alone: of 51
differences of a perfect stick the largest lay above 2.5 of them in 53 to 64 % of simulated sweeps."""

SMOOTH_SHARE = 1.0 / 3.0
"""A curve is called smooth where the best cubic leaves less than this share of the best line's deviation."""
FEWEST_FOR_SMOOTH = 8
"""Twice the numbers a cubic is free in: through fewer positions one passes closely whatever they say."""

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, slots=True)
class Largest:
    """A largest-of figure: its size, where it lies, and whether it stands out of the noise (None: not known)."""

    us: float
    at_x: float
    resolved: bool | None


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Figures:
    """What a curve says; percentages follow from span_us, above 0. bow_us, centre_us: None below three positions."""

    span_us: float
    rising_output: bool
    lines: Mapping[str, CurveLine]
    least_squares: CurveLeastSquares
    hysteresis: Largest | None
    repeatability: Repeatability | None
    spread: Largest | None
    cubic_us: float | None
    monotonic: bool
    bow_us: float | None
    shown: TransferCurve


def figures(curve: Curve, *, step_us: float | None) -> Figures | None:
    """Return the figures of a curve, or None below two positions or without any span.

    Lines, and the best cubic, are laid through the averaged curve. Hysteresis is the largest difference up to down,
    spread the largest of single readings of one direction, both with the dead band in them. The curve counts as
    monotonic unless it goes back by more than half a step and 3.7 standard uncertainties.
    """
    known = np.isfinite(curve.mean_us)
    x, y = curve.x[known], curve.mean_us[known]
    if x.size < 2 or y[-1] == y[0]:
        return None
    span_us = abs(float(y[-1] - y[0]))
    independent = independent_line(x, y)
    lines = {"independent": independent, "zero_based": zero_based_line(x, y), "terminal": terminal_line(x, y)}
    fitted = least_squares(x, y)
    rising = bool(y[-1] > y[0])
    noise_us = 0.0 if curve.u_us is None else RESOLVED * 2**0.5 * curve.u_us
    back = np.diff(y) if rising else -np.diff(y)
    return Figures(
        span_us=span_us,
        rising_output=rising,
        lines=MappingProxyType({name: _line(line, span_us) for name, line in lines.items()}),
        least_squares=CurveLeastSquares(
            slope=fitted.slope,
            intercept_us=fitted.intercept,
            slope_u=fitted.slope_u,
            intercept_u_us=fitted.intercept_u,
            residual_sd_us=fitted.residual_sd,
            correlation=fitted.correlation,
            n=fitted.n,
        ),
        hysteresis=_largest(curve, np.abs(curve.up_us - curve.down_us)),
        repeatability=curve.repeats,
        spread=_largest(curve, curve.spread_us),
        cubic_us=cubic_deviation(x, y),
        monotonic=bool(np.all(back >= -max(noise_us, (step_us or 0.0) / 2))),
        bow_us=_bow_us(x, y),
        shown=_shown(curve, independent),
    )


def is_smooth_curve(line: CurveLine, cubic_us: float | None, *, positions: int) -> bool | None:
    """Return whether a curve is bent as an expo setting bends it; None where positions are too few to tell.

    The best line's deviation must stand above its own uncertainty, and the best cubic leave less than a third of it.
    """
    if cubic_us is None or positions < FEWEST_FOR_SMOOTH:
        return None
    bent = line.expanded_u_pct is None or line.deviation_pct > line.expanded_u_pct
    return bent and cubic_us < SMOOTH_SHARE * abs(line.deviation_us)


def value_at(curve: Curve, x: float) -> float | None:
    """Return the averaged curve's value at x, straight between positions; None outside them."""
    known = np.isfinite(curve.mean_us)
    places = curve.x[known]
    if places.size < 2 or not places[0] <= x <= places[-1]:
        return None
    return float(np.interp(x, places, curve.mean_us[known]))


def _line(line: Line, span_us: float) -> CurveLine:
    return CurveLine(
        slope=line.slope,
        intercept_us=line.intercept,
        deviation_us=line.deviation,
        deviation_pct=100.0 * abs(line.deviation) / span_us,
        at_x=line.at_x,
    )


def _largest(curve: Curve, sizes: Array) -> Largest | None:
    if not np.isfinite(sizes).any():
        return None
    at = int(np.nanargmax(sizes))
    size = float(sizes[at])
    resolved = None if curve.difference_u_us is None else size >= RESOLVED * curve.difference_u_us
    return Largest(us=size, at_x=float(curve.x[at]), resolved=resolved)


def _bow_us(x: Array, y: Array) -> float | None:
    """Return how far a parabola's middle lies from the straight line between its ends, [µs]."""
    if x.size < 3:
        return None
    half = float(x[-1] - x[0]) / 2
    return -parabola(x, y).coefficients[2] * half * half


def _shown(curve: Curve, line: Line) -> TransferCurve:
    straight = line.intercept + line.slope * curve.x
    scatter = np.full(curve.x.size, np.nan if curve.u_us is None else curve.u_us)
    return TransferCurve(
        x=frozen_array(curve.x),
        up_us=frozen_array(curve.up_us),
        down_us=frozen_array(curve.down_us),
        mean_us=frozen_array(curve.mean_us),
        up_off_us=frozen_array(curve.up_us - straight),
        down_off_us=frozen_array(curve.down_us - straight),
        mean_off_us=frozen_array(curve.mean_us - straight),
        u_us=frozen_array(scatter),
    )
