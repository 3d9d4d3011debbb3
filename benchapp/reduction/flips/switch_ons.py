"""What one switch-on of the transmitter can and cannot say of the next: a switch-on is the unit that repeats.

Two figures are always given: this switch-on, without a line for the switch-ons not seen, and any switch-on, with that
line. (A line that came and went with a count of flips made a cliff between 59 and 60 flips.) The flag `one-power-up`
says no more than that the run itself shows a set in step.
"""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from benchapp.records.findings import KNOWN_FRAME, ONE_FRAME, SWITCH_ON_MEANS, Trial

FEWEST_SWITCH_ONS = 3
"""From here on the headline is what the set does at any switch-on."""
MANY_SWITCH_ONS = 8
"""From here on nothing is assumed of the set: the switch-ons' own means say how far they lie apart."""
FEWEST_OF_BLOCK, FEWEST_OF_SET = 12, 60
"""A block of fewer flips says too little of whether the set keeps step, and so does a run of fewer flips (simulated:
one block of 12 looks in step in 55 to 70 % of free-running sets, five blocks of 12 in 5 to 18 %)."""

Array = NDArray[np.float64]


def rule_of(switch_ons: int, *, keeps_step: bool) -> str:
    """Return how the uncertainty of any switch-on is found from so many of them.

    Simulated with a 22.5 ms frame in step: five switch-ons of 12 flips call equal sets different in 5.0 % with the
    known frame's rule; with the switch-ons' own spread, eight or more do in 5.1 %.
    """
    if switch_ons < FEWEST_SWITCH_ONS:
        return ONE_FRAME
    return KNOWN_FRAME if keeps_step and switch_ons < MANY_SWITCH_ONS else SWITCH_ON_MEANS


def one_frame_ms(frame_ms: float, switch_ons: int) -> float:
    """Return the standard uncertainty of a mean of switch-ons that may each lie anywhere in a frame: T/√(12k), [ms]."""
    return frame_ms / math.sqrt(12.0 * switch_ons)


def within_standard(latency: Array, blocks: NDArray[np.generic]) -> float:
    """Return the standard uncertainty that the flips within their switch-ons give the mean of switch-on means, [ms].

    latency : [ms], (n,); blocks : (n,). √(mean of the block means' own variances / k); a block of one flip has the
    variance pooled over the others.
    """
    _, member, counts = np.unique(blocks, return_inverse=True, return_counts=True)
    squares = np.array([np.sum((own - own.mean()) ** 2) for own in (latency[member == b] for b in range(counts.size))])
    pooled = float(squares.sum()) / max(int(np.sum(counts - 1)), 1)
    variances = np.where(counts > 1, squares / np.maximum(counts - 1, 1), pooled) / counts
    return math.sqrt(float(variances.mean()) / counts.size)


def keeps_step(trials: Sequence[Trial], *, flips: int) -> bool | None:
    """Return whether the set reads its control in step with its own frame; None where the flips cannot show it.

    In step, the frames from flip to answer step up no more than once round the circle of phases, in every switch-on
    of at least 12 flips. The run must have 60 flips, and half of them such answers: one flip without an answer must
    not lift the caution. A trial that missed pulses may have waited for another reason and is left out of the look.
    Flips that leave the frame bare show nothing.
    """
    seen = [t for t in trials if t.phase is not None and not t.missing_pulses]
    blocks: dict[int, list[tuple[float, int]]] = {}
    for trial in seen:
        if trial.phase is not None:
            blocks.setdefault(trial.block, []).append((trial.phase, trial.frames_to_answer))
    telling = [block for block in blocks.values() if len(block) >= FEWEST_OF_BLOCK]
    if flips < FEWEST_OF_SET or 2 * len(seen) < flips or not telling:
        return None
    return all(steps_once(block) for block in telling)


def steps_once(block: Sequence[tuple[float, int]]) -> bool:
    """Return whether the frames to the answer step up at most once round the circle; block : (phase, frames) a flip.

    No step up at all counts as one.
    """
    frames = np.array([count for _, count in sorted(block)])
    return int(np.sum(np.roll(frames, -1) > frames)) <= 1
