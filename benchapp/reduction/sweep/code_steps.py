"""How even the steps of a staircase are: differential and integral non-linearity."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from benchapp.records.sweep_findings import StepLinearity

ENOUGH_A_CODE = 10.0
_FEWEST_CODES = 8

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class CodeSteps:
    """A staircase judged step by step, in units of the mean step.

    dnl : (n - 1,), step k to k + 1 less one     inl : (n,), level k less its even place, from the first level on
    monotonic : no step goes backwards
    """

    dnl: Array
    inl: Array
    monotonic: bool


def code_steps(levels: ArrayLike, *, unit: float | None = None) -> CodeSteps:
    """Return differential and integral non-linearity of a staircase's levels, one a code, in order of code.

    unit : one ideal step; None: the mean step from the first level to the last
    DNL(k) = step(k)/unit - 1, INL = its running sum. A step below zero (DNL below -1) goes backwards.
    """
    places = np.asarray(levels, np.float64)
    if places.size < 2:
        raise ValueError(f"expected two levels at least, got {places.size}")
    one = float(places[-1] - places[0]) / (places.size - 1) if unit is None else unit
    if one == 0:
        raise ValueError("expected the last level to differ from the first")
    dnl = np.diff(places) / one - 1.0
    inl = (places - places[0]) / one - np.arange(places.size)
    return CodeSteps(dnl=dnl, inl=inl, monotonic=bool(np.all(dnl >= -1.0)))


def steps_over_travel(codes: NDArray[np.int64], weights: Array, *, unsure: int = 1) -> StepLinearity | None:
    """Return how even an output's steps are over the stick's travel.

    codes : the step each pulse of a moving stick stood on, (n,)     weights : the travel each stands for, (n,)
    A step's width is the travel over which it showed (the code density of converter tests, weighted with the speed,
    since a hand is not even). The first and last `unsure` codes have no width: up and down do not begin with the same
    one. None below ten pulses a code.
    """
    if not codes.size:
        return None
    first = int(codes.min())
    counts = np.bincount(codes - first)
    inner = slice(max(unsure, 1), -max(unsure, 1))
    widths = np.bincount(codes - first, weights)[inner]
    each = codes.size / counts.size
    if widths.size < _FEWEST_CODES or each < ENOUGH_A_CODE:
        return None
    steps = code_steps(np.cumsum(np.append(0.0, widths)))
    return StepLinearity(
        dnl=_largest(steps.dnl),
        inl=_largest(steps.inl),
        codes=int(widths.size),
        missing=int(np.count_nonzero(counts[inner] == 0)),
        pulses_a_code=each,
    )


def _largest(values: Array) -> float:
    return float(values[int(np.argmax(np.abs(values)))])
