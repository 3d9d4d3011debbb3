"""The delay that waiting for a free-running sampler alone would give: the law behind the expected spread."""

import math


def waiting_mean_ms(first_period_ms: float, second_period_ms: float = 0.0) -> float:
    """Return the mean wait for one sampler, or for two independent ones in a row: half of each period."""
    return (first_period_ms + second_period_ms) / 2.0


def waiting_sd_ms(first_period_ms: float, second_period_ms: float = 0.0) -> float:
    """Return the standard deviation of the wait: T/√12 for one sampler, √((T1² + T2²)/12) for two.

    A phase spread evenly over a width T has variance T²/12 (JCGM 100:2008, 4.3.7); independent ones add.
    """
    return math.hypot(first_period_ms, second_period_ms) / math.sqrt(12.0)


def waiting_percentile_ms(q: float, first_period_ms: float, second_period_ms: float = 0.0) -> float:
    """Return the quantile q (0 to 1) of the wait: the sum of two even spreads, a trapezoid's law.

    Raises ValueError for a q outside 0 to 1 or a negative period.
    """
    if not 0.0 <= q <= 1.0:
        raise ValueError(f"expected a fraction between 0 and 1, got {q}")
    if min(first_period_ms, second_period_ms) < 0.0:
        raise ValueError(f"expected periods of 0 ms or more, got {first_period_ms} and {second_period_ms}")
    if q < 0.5:
        longest = first_period_ms + second_period_ms
        return longest - waiting_percentile_ms(1.0 - q, first_period_ms, second_period_ms)
    long, short = max(first_period_ms, second_period_ms), min(first_period_ms, second_period_ms)
    beyond = 1.0 - q
    if 2.0 * long * beyond <= short:
        return long + short - math.sqrt(2.0 * long * short * beyond)
    return long * q + short / 2.0
