"""Delay and hysteresis of a moving sweep, fitted together with the curve between stick and pulse.

A chain's own delay shears a moving sweep: taken away first, it swallows real hysteresis. So the model is
y = f(x(t - L)) - sign(v)·h/2, with f a smooth curve of its own, and L and h come from one least squares.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchapp.reduction.sweep.sweep_pulses import Placed

KNOTS = 51
"""The curve is straight between knots 2 % of travel apart: what it misses is alike up and down, and favours neither."""
FEWEST_STROKES = 4
MOST_DELAY_U_S = 0.0005
LEAST_SPREAD = 0.15
"""With strokes more alike in speed, delay and hysteresis trade places."""
_FEWEST_PULSES = 60
_CONVERGED_S = 2e-5
_LONGEST_STEP_S = 0.06
_DELAYS_S = (-0.2, 1.0)
_ROUNDS = 12
_CURVE_ROUNDS = 4
_STIFFNESS = 1e-5
_SHAPED_SIGMAS = 2.0

Array = NDArray[np.float64]
At = Callable[[float], Placed]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class SweepFit:
    """What a sweep's pulses say of delay and hysteresis.

    delay_s, hysteresis_us : with their standard uncertainties, by leaving out one stroke at a time
    shape_us : the part of hysteresis that grows with the curve's slope, as play does; 0 where it is not resolved
    alone_s  : the delay that closes the loop best if there were no hysteresis: a fact only where there is none
    knots_us : (KNOTS,), the curve from z = 0 to 1     spread : half the width of the middle nine tenths of speed,
    over its mean     sd_us : of the residuals     strokes : how many took part
    """

    delay_s: float
    delay_u_s: float
    hysteresis_us: float
    hysteresis_u_us: float
    shape_us: float
    alone_s: float
    knots_us: Array
    spread: float
    sd_us: float
    strokes: int

    @property
    def told_apart(self) -> bool:
        """Whether delay and hysteresis can each be stated as a fact."""
        return self.strokes >= FEWEST_STROKES and self.spread >= LEAST_SPREAD and self.delay_u_s <= MOST_DELAY_U_S

    def curve_us(self, z: Array) -> Array:
        """Return the curve's value at z."""
        return np.interp(z, np.linspace(0.0, 1.0, KNOTS), self.knots_us)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class _Round:
    """One least squares: the curve's knots, what was fitted beside them, and it again without each stroke."""

    knots: Array
    beside: Array
    without: Array
    placed: Placed
    sd: float


def fit_sweep(pulses_at: At) -> SweepFit | None:
    """Return delay and hysteresis fitted together, or None where pulses or strokes are too few.

    pulses_at : gives the pulses of moving strokes, placed for a delay in seconds
    Hysteresis is one amount all along the travel unless a part of it grows with the curve's slope by more than twice
    its standard uncertainty: play in the stick does, and on a curved output it would else be taken for delay.
    """
    alone_s, first = _settled(pulses_at, 0.0, ())
    if first is None:
        return None
    delay_s, plain = _settled(pulses_at, alone_s, ("even",))
    if plain is None:
        return None
    chosen, shape_us = plain, 0.0
    shaped_s, shaped = _settled(pulses_at, alone_s, ("even", "sloped"))
    if shaped is not None and abs(shaped.beside[2]) > _SHAPED_SIGMAS * _leave_one_out(shaped.without)[2]:
        delay_s, chosen, shape_us = shaped_s, shaped, float(shaped.beside[2])
    delay_u_s, hysteresis_u_us = _leave_one_out(chosen.without)[:2]
    speeds = np.abs(chosen.placed.rate)
    low, high = np.percentile(speeds, [5, 95])
    return SweepFit(
        delay_s=delay_s,
        delay_u_s=float(delay_u_s),
        hysteresis_us=float(chosen.beside[1]),
        hysteresis_u_us=float(hysteresis_u_us),
        shape_us=shape_us,
        alone_s=alone_s,
        knots_us=chosen.knots,
        spread=float((high - low) / 2 / speeds.mean()),
        sd_us=chosen.sd,
        strokes=chosen.without.shape[0],
    )


def _settled(pulses_at: At, delay_s: float, parts: Sequence[str]) -> tuple[float, _Round | None]:
    """Return the delay at which a further round would not move it, with that round."""
    placed = pulses_at(delay_s)
    if placed.count < _FEWEST_PULSES or np.unique(placed.stroke).size < 2:
        return delay_s, None
    knots = _least_squares(placed, [0.5 * placed.way]).knots
    for number in range(_ROUNDS):
        # The curve settles before hysteresis is let in: far from the delay it would swallow the whole loop.
        beside = _beside(placed, knots, parts if number >= _CURVE_ROUNDS or delay_s else ())
        done = _least_squares(placed, beside)
        knots = done.knots
        step_s = float(np.clip(done.beside[0], -_LONGEST_STEP_S, _LONGEST_STEP_S))
        delay_s = float(np.clip(delay_s + step_s, *_DELAYS_S))
        if abs(step_s) < _CONVERGED_S and len(beside) == 1 + len(parts):
            break
        following = pulses_at(delay_s)
        if following.count < _FEWEST_PULSES or np.unique(following.stroke).size < 2:
            break
        placed = following
    return delay_s, done


def _beside(placed: Placed, knots: Array, parts: Sequence[str]) -> list[Array]:
    """Return what a little more delay, and each part of the hysteresis, would add to every pulse."""
    slopes = np.interp(placed.z, np.linspace(0.0, 1.0, KNOTS), np.gradient(knots) * (KNOTS - 1))
    columns = [-slopes * placed.rate]
    if "even" in parts:
        columns.append(-0.5 * placed.way)
    if "sloped" in parts:
        columns.append(-0.5 * placed.way * (slopes / (knots[-1] - knots[0]) - 1.0))
    return columns


def _least_squares(placed: Placed, beside: Sequence[Array]) -> _Round:
    """Return the knots and the amounts of the columns beside them; both again without each stroke in turn."""
    base = float(np.mean(placed.us))
    names, stroke = np.unique(placed.stroke, return_inverse=True)
    matrices, sides = _normal_equations(placed.z, placed.us - base, stroke, beside, names.size)
    whole, side = matrices.sum(axis=0) + _stiffness(len(beside), placed.count), sides.sum(axis=0)
    solved = np.linalg.solve(whole, side)
    without = np.linalg.solve(whole - matrices, (side - sides)[:, :, None])[:, KNOTS:, 0]
    knots = solved[:KNOTS] + base
    left = placed.us - np.interp(placed.z, np.linspace(0.0, 1.0, KNOTS), knots)
    for amount, column in zip(solved[KNOTS:].tolist(), beside, strict=True):
        left = left - amount * column
    return _Round(knots=knots, beside=solved[KNOTS:], without=without, placed=placed, sd=float(np.std(left)))


def _normal_equations(
    z: Array, us: Array, stroke: NDArray[np.intp], beside: Sequence[Array], strokes: int
) -> tuple[Array, Array]:
    """Return matrix and right side of the least squares, stroke by stroke: (strokes, n, n) and (strokes, n)."""
    at = np.clip(z, 0.0, 1.0) * (KNOTS - 1)
    knot = np.minimum(at.astype(np.intp), KNOTS - 2)
    right = at - knot
    left = 1.0 - right
    cell = stroke * KNOTS + knot

    def summed(weights: Array) -> Array:
        sums: Array = np.bincount(cell, weights, minlength=strokes * KNOTS).astype(np.float64)
        return sums.reshape(strokes, KNOTS)

    def onto(values: Array) -> Array:
        sums = summed(left * values)
        sums[:, 1:] += summed(right * values)[:, :-1]
        return sums

    size = KNOTS + len(beside)
    matrices, sides = np.zeros((strokes, size, size)), np.zeros((strokes, size))
    rows = np.arange(KNOTS)
    matrices[:, rows, rows] = summed(left * left)
    matrices[:, rows[1:], rows[1:]] += summed(right * right)[:, :-1]
    shared = summed(left * right)[:, :-1]
    matrices[:, rows[:-1], rows[1:]] = shared
    matrices[:, rows[1:], rows[:-1]] = shared
    sides[:, :KNOTS] = onto(us)
    for i, column in enumerate(beside, KNOTS):
        matrices[:, :KNOTS, i] = matrices[:, i, :KNOTS] = onto(column)
        sides[:, i] = np.bincount(stroke, column * us, minlength=strokes)
        for j, other in enumerate(beside, KNOTS):
            matrices[:, i, j] = np.bincount(stroke, column * other, minlength=strokes)
    return matrices, sides


def _stiffness(columns: int, pulses: int) -> Array:
    """Return a faint pull towards straightness, which carries the curve over knots that no pulse touches.

    A trace of it on the columns keeps a column that says nothing at an amount of zero.
    """
    size = KNOTS + columns
    bends = np.diff(np.eye(KNOTS), 2, axis=0)
    pull = np.zeros((size, size))
    pull[:KNOTS, :KNOTS] = _STIFFNESS * pulses / KNOTS * bends.T @ bends
    pull[range(KNOTS, size), range(KNOTS, size)] = 1e-9 * pulses
    return pull


def _leave_one_out(without: Array) -> Array:
    """Return the standard uncertainty of each amount from its values without each stroke (Tukey's jackknife)."""
    n = without.shape[0]
    spread: Array = np.sqrt((n - 1) / n * np.sum((without - without.mean(axis=0)) ** 2, axis=0))
    return spread
