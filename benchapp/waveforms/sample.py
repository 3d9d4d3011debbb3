"""A part of a long series that speaks for all of it."""

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

ENOUGH = 20_000
_STRETCHES = 32

_Scalar = TypeVar("_Scalar", bound=np.generic)


def spread_sample(values: NDArray[_Scalar], most: int = ENOUGH) -> NDArray[_Scalar]:
    """Return all values, or of more than `most` about that many: 32 whole stretches, evenly spread over the series.

    Whole stretches, because a fixed stride would beat with whatever repeats in a frame.
    """
    if values.size <= most:
        return values
    length = most // _STRETCHES
    starts = np.linspace(0, values.size - length, _STRETCHES).astype(np.int64)
    part: NDArray[_Scalar] = values[(starts[:, None] + np.arange(length)).ravel()]
    return part
