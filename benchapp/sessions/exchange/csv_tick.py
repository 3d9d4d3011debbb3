"""The interval at which the rows of a CSV were stamped."""

import numpy as np
from numpy.typing import NDArray

_EVEN_WITHIN_NS = 2  # two stamps of an even row, each rounded to a whole ns, differ from the others by so much


def csv_tick_ns(times_ns: NDArray[np.int64]) -> float:
    """Return the stamp interval [ns] that the rows' times give away.

    Rows an equal time apart (within the rounding to whole ns): that time, from the first to the last. Otherwise the
    greatest common divisor of the distances, at least 1 ns: times with six decimals cannot be finer than 1 µs, and
    rows that are written only when something changes still fall on the instrument's tick. 1 ns if all times are equal.
    """
    steps = np.diff(times_ns)
    steps = steps[steps > 0]
    if not steps.size:
        return 1.0
    if steps.size == times_ns.size - 1 and steps.size > 1 and int(steps.max() - steps.min()) <= _EVEN_WITHIN_NS:
        return float(times_ns[-1] - times_ns[0]) / steps.size
    divisor = 0
    for low in range(0, steps.size, 1 << 16):
        divisor = int(np.gcd.reduce(steps[low : low + (1 << 16)], initial=divisor))
        if divisor == 1:
            break
    return float(divisor)
