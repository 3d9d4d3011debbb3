"""How much longer than alone a pulse's scatter lives: what it adds to the scatter of a mean of neighbours."""

import numpy as np
from numpy.typing import NDArray

_MOST_LAGS = 40

Array = NDArray[np.float64]


def keeps_on(off: Array, series: NDArray[np.intp], *, most: float) -> float:
    """Return by how much the variance of a mean of neighbours exceeds that of pulses on their own, 1 or more.

    off : what each pulse lies off, (n,), in order of time within each of the series it belongs to
    most : about how many neighbours make a mean
    1 + 2 Σ of the autocorrelation, summed over the first lags for as long as it stays above 0 (the initial positive
    sequence: Geyer, Statistical Science 7, 1992, 473; from memory).
    """
    total = float(np.sum(off * off))
    factor = 1.0
    if total <= 0.0:
        return factor
    for lag in range(1, min(_MOST_LAGS, off.size - 1, int(most)) + 1):
        alike = series[lag:] == series[:-lag]
        shared = float(np.sum(off[lag:][alike] * off[:-lag][alike])) / total
        if shared <= 0.0:
            break
        factor += 2.0 * shared
    return min(factor, max(most, 1.0))
