"""The chi-squared law, and the interval of a standard deviation that follows from it."""

import math

_MOST_TERMS = 10_000
_SMALL = 1e-16
_TINY = 1e-300
_HALVINGS = 200


def chi_squared_cdf(x: float, dof: float) -> float:
    """Return the probability of at most x under the chi-squared law with dof degrees of freedom, above 0.

    The regularised incomplete gamma function P(dof/2, x/2): its series below the mode, its continued fraction above
    (Abramowitz and Stegun, Handbook of Mathematical Functions, 6.5.29 and 6.5.31).
    """
    if x <= 0.0:
        return 0.0
    a, z = dof / 2.0, x / 2.0
    scale = math.exp(a * math.log(z) - z - math.lgamma(a))
    return scale * _series(a, z) if z < a + 1.0 else 1.0 - scale * _fraction(a, z)


def chi_squared_quantile(p: float, dof: float) -> float:
    """Return the value below which a chi-squared variable lies with probability p, strictly between 0 and 1."""
    if not 0.0 < p < 1.0 or dof <= 0.0:
        raise ValueError(f"expected a probability between 0 and 1 and degrees of freedom above 0, got {p} and {dof}")
    low, high = 0.0, max(dof, 1.0)
    while chi_squared_cdf(high, dof) < p:
        low, high = high, 2.0 * high
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        if middle in (low, high):
            break
        low, high = (middle, high) if chi_squared_cdf(middle, dof) < p else (low, middle)
    return (low + high) / 2.0


def deviation_interval(deviation: float, dof: float, level: float = 0.95) -> tuple[float, float]:
    """Return the interval of a standard deviation found with dof degrees of freedom, values drawn from a normal law."""
    tail = (1.0 - level) / 2.0
    low = deviation * math.sqrt(dof / chi_squared_quantile(1.0 - tail, dof))
    return low, deviation * math.sqrt(dof / chi_squared_quantile(tail, dof))


def _series(a: float, z: float) -> float:
    term = total = 1.0 / a
    for n in range(1, _MOST_TERMS):
        term *= z / (a + n)
        total += term
        if term < total * _SMALL:
            break
    return total


def _fraction(a: float, z: float) -> float:
    """Return the continued fraction of the upper incomplete gamma function (modified Lentz)."""
    b = z + 1.0 - a
    c, d = 1.0 / _TINY, 1.0 / b
    value = d
    for n in range(1, _MOST_TERMS):
        step = -n * (n - a)
        b += 2.0
        d = step * d + b
        d = 1.0 / (d if abs(d) > _TINY else _TINY)
        c = b + step / c
        c = c if abs(c) > _TINY else _TINY
        value *= d * c
        if abs(d * c - 1.0) < _SMALL * 10:
            break
    return value
