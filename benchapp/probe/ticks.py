"""The probe's counter as whole ticks and as nanoseconds at its nominal rate."""

import numpy as np
from numpy.typing import NDArray

TURN = 1 << 32
# A quarter turn, 67 s at 16 MHz: how far a record may lie before its forerunner (samples of a slow level lead,
# sent sixteen at a time). The other three quarters are how far it may lie ahead.
_BACK = TURN >> 2


def ticks_to_ns(ticks: NDArray[np.int64], hz: int) -> NDArray[np.int64]:
    """Return whole ticks as nanoseconds at the nominal rate, rounded half up.

    ticks : int64, any shape, negative allowed
    Exact where the answer fits int64: a remainder is below hz, so its product with 10**9 cannot overflow.
    """
    whole, rest = np.divmod(np.asarray(ticks, np.int64), hz)
    answer: NDArray[np.int64] = whole * 1_000_000_000 + (rest * 1_000_000_000 + hz // 2) // hz
    return answer


def extend_ticks(ticks: NDArray[np.uint32], near: int) -> NDArray[np.int64]:
    """Return the whole ticks whose low 32 bits are given, each at most a quarter turn before its forerunner.

    ticks : uint32, (n,); near is the forerunner of the first, any int64
    """
    lows = np.empty(ticks.size + 1, np.uint32)
    lows[0] = near % TURN
    lows[1:] = ticks
    steps = np.diff(lows) + np.uint32(_BACK)  # wraps at 2**32, as the counter does
    whole: NDArray[np.int64] = near + np.cumsum(steps.astype(np.int64) - _BACK)
    return whole
