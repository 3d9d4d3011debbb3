"""Where the output stands for each state of the control, and so why a flip without a step went unanswered."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from benchapp.records.codes import Exclusion
from benchapp.reduction.flips.answers import MID_SIGMAS, Answer

_CLEAR = 4.0
"""Standard errors beyond which a difference of two mean levels is taken as a step, however small."""


@dataclass(frozen=True, kw_only=True, slots=True)
class StateLevels:
    """The output's durations for the control's two states, [ns]; None where no flip told them.

    moved : the two levels differ at all, beyond what noise explains
    two_steps : one state of the control belongs to more than one level
    """

    low_ns: float | None
    high_ns: float | None
    moved: bool
    two_steps: bool

    def direction(self, state: int) -> str | None:
        """Return the direction of a flip to this state, None where it is not known."""
        if self.low_ns is None or self.high_ns is None:
            return None
        return "up" if (self.high_ns > self.low_ns) == bool(state) else "down"

    def why_unanswered(self, answer: Answer, state: int) -> str:
        """Return the code of a flip that has levels before and after but no answer.

        A step of its own below 8 sigma is too small, unless it is less than half of the run's: then the output
        did not follow this flip at all, and stood either at the answer's level already or at the other one.
        Where no flip of the run has a step, the output either moves too little or does not move.
        A flip that got no answer has no step: without the run's own levels "below 8 sigma" would call each of them too
        small.
        """
        step = abs(answer.step_ns)
        if step >= MID_SIGMAS * answer.sigma_ns:
            return Exclusion.NO_ANSWER
        if self.low_ns is None or self.high_ns is None or answer.before_ns is None:
            return Exclusion.STEP_TOO_SMALL if self.moved else Exclusion.NO_ANSWER
        if step >= abs(self.high_ns - self.low_ns) / 2:
            return Exclusion.STEP_TOO_SMALL
        wanted, other = (self.high_ns, self.low_ns) if state else (self.low_ns, self.high_ns)
        there = abs(answer.before_ns - wanted) < abs(answer.before_ns - other)
        return Exclusion.ALREADY_THERE if there else Exclusion.NO_ANSWER


def state_levels(answers: Sequence[Answer], states: Sequence[int]) -> StateLevels:
    """Return the run's level for each state: the median over flips that have a step of at least 8 sigma."""
    clear: tuple[list[float], list[float]] = ([], [])
    reached: tuple[list[float], list[float]] = ([], [])
    sigmas = []
    for answer, state in zip(answers, states, strict=True):
        if answer.before_ns is None or answer.after_ns is None:
            continue
        sigmas.append(answer.sigma_ns)
        reached[state].append(answer.after_ns)
        if abs(answer.step_ns) >= MID_SIGMAS * answer.sigma_ns:
            clear[state].append(answer.after_ns)
            clear[1 - state].append(answer.before_ns)
    low, high = (float(np.median(levels)) if levels else None for levels in clear)
    sigma = float(np.median(sigmas)) if sigmas else 0.0
    return StateLevels(
        low_ns=low, high_ns=high, moved=_moved(reached, sigma), two_steps=_two_steps(clear, low, high, sigma)
    )


def _moved(reached: tuple[list[float], list[float]], sigma_ns: float) -> bool:
    """Return whether the mean levels of the two states differ clearly.

    The median of ten pulses has a standard error of about 1.25 sigma / sqrt(10), 0.4 sigma.
    They do beyond four standard errors: the step is then there, but too small.
    """
    if not reached[0] or not reached[1]:
        return False
    error = 0.4 * sigma_ns * float(np.sqrt(1 / len(reached[0]) + 1 / len(reached[1])))
    return abs(float(np.mean(reached[0]) - np.mean(reached[1]))) > _CLEAR * error


def _two_steps(clear: tuple[list[float], list[float]], low: float | None, high: float | None, sigma_ns: float) -> bool:
    """Return whether a fifth or more of one state's levels lie a quarter of the step away from its median."""
    if low is None or high is None:
        return False
    far = max(abs(high - low) / 4, MID_SIGMAS * sigma_ns)
    return any(
        float(np.mean(np.abs(np.array(levels) - middle) > far)) >= 0.2
        for levels, middle in zip(clear, (low, high), strict=True)
    )
