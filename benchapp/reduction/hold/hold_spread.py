"""Spread of a held output: its standard deviation's interval, and the least the probe itself would show."""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from benchapp.records.findings import Interval
from benchapp.records.leads import Lead
from benchapp.reduction.ground.chi_squared import deviation_interval

TOLD_FLOORS = 2.0
"""Below twice the probe's own floor a spread says more of the probe than of the output."""
_MOST_LAGS = 200
_NORMAL_KURTOSIS = 3.0
_LEAST_DOF = 1.0
_LARGE = 10_000.0
_NORMAL_975 = 1.959963984540054

Array = NDArray[np.float64]


def floor_us(lead: Lead) -> float:
    """Return the standard deviation that the probe shows of pulses that are all alike, √((q1² + q2² + l1² + l2²)/12).

    q : the stamp interval     l : the width of the lateness, of both edges; one lead stamps both
    """
    width_ns = math.hypot(lead.resolution_ns, lead.lateness_typical_ns)
    return math.sqrt(2.0 / 12.0) * width_ns / 1e3


def told_from_probe(sd_us: float | None, floor: float) -> bool | None:
    """Return whether a spread can be told from the probe's own; None without one."""
    return None if sd_us is None else sd_us >= TOLD_FLOORS * floor


def spread_interval(sd_us: float | None, off_us: Sequence[Array]) -> tuple[Interval, float | None]:
    """Return the 95 % interval of a spread by the chi-squared law, with its degrees of freedom.

    off_us : what the pulses of each position lie off their own mean, in order of time
    Pulses that resemble their neighbours, or a few that lie far off, tell less of a spread: the degrees of freedom are
    2n/((κ - 1)(1 + 2 Σ ρ²)), with the kurtosis κ, 3 at least, and the autocorrelation ρ (Bartlett's formula for the
    variance of a variance; Priestley, Spectral Analysis and Time Series, 1981, 5.3; from memory).
    """
    count = sum(part.size for part in off_us) - len(off_us)
    squares = sum(float(np.sum(part**2)) for part in off_us)
    if sd_us is None or count < 1:
        return (None, None), None
    if squares <= 0.0:
        return (0.0, 0.0), float(count)
    fourth = sum(float(np.sum(part**4)) for part in off_us)
    kurtosis = max(fourth * count / squares**2, _NORMAL_KURTOSIS)
    dof = max(2.0 * count / ((kurtosis - 1.0) * _alike(off_us, squares)), _LEAST_DOF)
    if dof > _LARGE:
        half = _NORMAL_975 / math.sqrt(2.0 * dof)
        return (sd_us * (1.0 - half), sd_us * (1.0 + half)), dof
    return deviation_interval(sd_us, dof), dof


def _alike(off_us: Sequence[Array], squares: float) -> float:
    """Return 1 + 2 Σ ρ² over the first lags that stand out of chance."""
    count = sum(part.size for part in off_us)
    total = 1.0
    for lag in range(1, min(_MOST_LAGS, count // 4) + 1):
        rho = sum(float(np.sum(part[lag:] * part[:-lag])) for part in off_us if part.size > lag) / squares
        if rho * rho < 4.0 / count:
            break
        total += 2.0 * rho * rho
    return total
