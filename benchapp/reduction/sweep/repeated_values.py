"""Values that came again although the stick had moved on: what a radio does that refreshes less often than it sends."""

from dataclasses import dataclass

import numpy as np

from benchapp.reduction.sweep.sweep_pulses import Placed

FEWEST_JUDGED = 20
_CLEAR_NOISE = 9.0
_SAME_NOISE = 3.0


@dataclass(frozen=True, kw_only=True, slots=True)
class RepeatedValues:
    """How many pulses said the same as the one before, of so many before which the stick moved by more than a step."""

    repeated: int
    judged: int


def repeated_values(placed: Placed, meant_us: np.ndarray, *, step_us: float, noise_us: float) -> RepeatedValues | None:
    """Return the repeated values of a moving stick, or None where it hardly ever moved by more than a step a frame.

    meant_us : what the curve says at each pulse     step_us : the output's step, or one stamp interval
    A pulse is judged where the curve moved, since the pulse before, by more than one step and than noise would.
    """
    follows = (np.diff(placed.number) == 1) & (np.diff(placed.stroke) == 0)
    moved = follows & (np.abs(np.diff(meant_us)) > step_us + _CLEAR_NOISE * noise_us)
    judged = int(np.count_nonzero(moved))
    if judged < FEWEST_JUDGED:
        return None
    same = np.abs(np.diff(placed.us)) <= step_us / 2 + _SAME_NOISE * noise_us
    return RepeatedValues(repeated=int(np.count_nonzero(moved & same)), judged=judged)
