"""The spread that waiting for free-running samplers alone would give."""

import math
from collections.abc import Sequence

SAME_SHARE = 0.01
"""Two periods nearer than this share are one sampler's: they keep step."""


def waiting_sd_ms(periods_ms: Sequence[float]) -> float:
    """Return the standard deviation of the wait: T/√12 for one sampler, √((T1² + T2²)/12) for two in a row.

    A phase spread evenly over a width T has variance T²/12 (JCGM 100:2008, 4.3.7); independent ones add.
    """
    return math.hypot(*periods_ms) / math.sqrt(12.0)


def samplers_ms(frame_ms: float, train_frame_ms: float | None) -> tuple[float, ...]:
    """Return the periods that a flip waits for, in the order of the chain: the train's where it has one of its own."""
    if train_frame_ms is None or abs(train_frame_ms - frame_ms) < SAME_SHARE * frame_ms:
        return (frame_ms,)
    return (train_frame_ms, frame_ms)
