"""The cubic with the least largest deviation from a curve: what an expo setting would leave."""

import numpy as np
from numpy.polynomial import chebyshev
from numpy.typing import NDArray

_FREE = 4
_MOST_ROUNDS = 100
_SETTLED = 1e-9

Array = NDArray[np.float64]


def best_cubic(x: Array, y: Array) -> tuple[Array, float] | None:
    """Return the values at x of the cubic whose largest deviation is least, and that deviation, above 0.

    x : (n,), rising     None below five positions, where a cubic can pass through every one.
    By exchange: through five positions one cubic deviates alike with signs that alternate; as long as another position
    lies farther off, it takes the place of its neighbour (Stiefel's single exchange; Cheney, Introduction to
    Approximation Theory, 1966, chapter 3; from memory). It ends at the least largest deviation exactly.
    """
    if x.size <= _FREE:
        return None
    z = 2.0 * (x - x[0]) / (x[-1] - x[0]) - 1.0
    columns = chebyshev.chebvander(z, _FREE - 1)
    nodes = -np.cos(np.linspace(0.0, np.pi, _FREE + 1))
    chosen = _apart(np.searchsorted(z, nodes).clip(0, x.size - 1), x.size)
    signs = (-1.0) ** np.arange(_FREE + 1)
    span = float(np.ptp(y)) or 1.0
    values, off = y, np.zeros(x.size)
    for _ in range(_MOST_ROUNDS):
        solved = np.linalg.solve(np.column_stack([columns[chosen], signs]), y[chosen])
        values = columns @ solved[:_FREE]
        off = y - values
        farthest = int(np.argmax(np.abs(off)))
        if abs(off[farthest]) <= abs(solved[_FREE]) + _SETTLED * span:
            break
        chosen = _exchanged(chosen, farthest, off)
    return values, float(np.max(np.abs(off)))


def cubic_deviation(x: Array, y: Array) -> float | None:
    """Return the greatest deviation of a curve from the best cubic, in y's unit; None below five positions."""
    found = best_cubic(x, y)
    return None if found is None else found[1]


def _apart(chosen: NDArray[np.intp], size: int) -> NDArray[np.intp]:
    """Return five different places out of size, as near those chosen as can be."""
    places = chosen.copy()
    for i in range(1, places.size):
        places[i] = max(places[i], places[i - 1] + 1)
    shifted: NDArray[np.intp] = places - np.maximum(0, places - np.arange(size - places.size, size))
    return shifted


def _exchanged(chosen: NDArray[np.intp], new: int, off: Array) -> NDArray[np.intp]:
    """Return the places with one of them given up for new, so that the deviations' signs still alternate."""
    places = chosen.tolist()
    after = int(np.searchsorted(chosen, new))
    sign = np.sign(off[new])
    if after == 0:
        kept = [new, *places[1:]] if np.sign(off[places[0]]) == sign else [new, *places[:-1]]
    elif after == len(places):
        kept = [*places[:-1], new] if np.sign(off[places[-1]]) == sign else [*places[1:], new]
    else:
        near = after - 1 if np.sign(off[places[after - 1]]) == sign else after
        kept = [*places[:near], new, *places[near + 1 :]]
    return np.array(kept, np.intp)
