"""What each straight line's deviation of errors alone stays below in 95 % of cases: the weights of the budget.

`python -m tests.reduction.line_weights` prints them from 20,000 drawn curves each.
"""

import sys
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from benchapp.reduction.sweep.closest_line import independent_line, terminal_line, zero_based_line

Array = NDArray[np.float64]
Draw = Callable[[np.random.Generator, int], Array]
_LINES = {"independent": independent_line, "terminal": terminal_line, "zero_based": zero_based_line}


def alone(rng: np.random.Generator, count: int) -> Array:
    """Return errors that are each position's own."""
    return rng.normal(size=count)


def between_rests(rng: np.random.Generator, count: int) -> Array:
    """Return errors of positions that share half their pulses with each neighbour, between ends that have none."""
    drawn = rng.normal(size=count + 1)
    errors = (drawn[1:] + drawn[:-1]) / np.sqrt(2.0)
    errors[[0, -1]] = 0.0
    return errors


def at_the_ends(rng: np.random.Generator, count: int) -> Array:
    """Return errors of the two ends alone, anywhere within a step, of standard deviation 1."""
    errors = np.zeros(count)
    errors[[0, -1]] = rng.uniform(-0.5, 0.5, 2) * np.sqrt(12.0)
    return errors


def bent_lead(rng: np.random.Generator, count: int) -> Array:
    """Return the error of a level lead that is bent smoothly, to its bound of √3 standard uncertainties somewhere."""
    z = np.linspace(0.1, 0.9, count)
    bend = sum(rng.normal(0, 1 / k) * np.sin(np.pi * k * z) for k in range(1, 7))
    return bend / np.max(np.abs(bend)) * np.sqrt(3.0)


def weights(draw: Draw, positions: int, *, draws: int, seed: int = 1) -> dict[str, float]:
    """Return, by line, half of what its deviation of the errors alone stays below in 95 % of cases."""
    rng, x = np.random.default_rng(seed), np.linspace(0.0, 1.0, positions)
    curves = [draw(rng, positions) for _ in range(draws)]
    return {
        name: float(np.quantile([abs(line(x, curve).deviation) for curve in curves], 0.95)) / 2
        for name, line in _LINES.items()
    }


if __name__ == "__main__":
    DRAWS = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    for kind, counts in (
        (alone, (3, 5, 9, 11, 21, 51)),
        (between_rests, (51,)),
        (at_the_ends, (51,)),
        (bent_lead, (51,)),
    ):
        for number in counts:
            found = {name: round(value, 3) for name, value in weights(kind, number, draws=DRAWS).items()}
            print(f"{kind.__name__:14s} {number:3d} {found}")
