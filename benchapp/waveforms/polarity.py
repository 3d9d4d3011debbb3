"""Which state of a servo-pulse line is the pulse."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchapp.records.run import Polarity
from benchapp.waveforms.transitions import Transitions, state_durations_ns

SHORTEST_PULSE_NS = 300_000
LONGEST_PULSE_NS = 2_700_000
"""What a servo pulse may last; common practice is 1.0 to 2.0 ms, narrow-pulse servos less (no source)."""
_DECIDED = 0.5
"""Score beyond which one edge train is clearly the steadier; +1 and -1 are the ideal cases, 0 is noise."""


@dataclass(frozen=True, kw_only=True, slots=True)
class PulseState:
    """The level that is the pulse, and whether it had to be guessed."""

    level: int
    guessed: bool


def pulse_state(line: Transitions, wanted: Polarity = Polarity.FIND) -> PulseState:
    """Return which state is the pulse: the one whose durations are a servo's, else the one with steady starts.

    Where both states last 0.3 to 2.7 ms, the leading edges are the steadier train once durations vary;
    where nothing varies the shorter state is taken, and said to be guessed.
    """
    if wanted is not Polarity.FIND:
        return PulseState(level=int(wanted is Polarity.HIGH), guessed=False)
    low, high = (state_durations_ns(line, level) for level in (0, 1))
    low_fits, high_fits = _share_in_range(low) > 0.5, _share_in_range(high) > 0.5
    if low_fits != high_fits:
        return PulseState(level=int(high_fits), guessed=False)
    if low_fits:
        score = _steadiness_score(line)
        if abs(score) > _DECIDED:
            return PulseState(level=int(score > 0), guessed=False)
    if not low.size or not high.size:
        return PulseState(level=1, guessed=True)
    return PulseState(level=int(np.median(high) <= np.median(low)), guessed=True)


def _share_in_range(durations: NDArray[np.int64]) -> float:
    """Return the share of durations a servo pulse may have; 0 for none."""
    if not durations.size:
        return 0.0
    return float(np.mean((durations >= SHORTEST_PULSE_NS) & (durations <= LONGEST_PULSE_NS)))


def _steadiness_score(line: Transitions) -> float:
    """Return +1 where rising edges are the steady train, -1 where falling ones are, near 0 where neither.

    With r the intervals between rising and f those between falling edges, f - r is the change of the high
    state's duration. If it is independent of r, var f - var r = var(f - r); if of f, the negative of that.
    """
    unbroken = ~line.broken
    whole = np.flatnonzero((line.levels[:-3] == 1) & unbroken[1:-2] & unbroken[2:-1] & unbroken[3:])
    if whole.size < 8:
        return 0.0
    times = line.times_ns
    rising = (times[whole + 2] - times[whole]).astype(np.float64)
    falling = (times[whole + 3] - times[whole + 1]).astype(np.float64)
    period = float(np.median(rising))
    usual = (np.abs(rising - period) < period / 2) & (np.abs(falling - period) < period)
    rising, falling = rising[usual], falling[usual]
    change = float(np.var(falling - rising)) if usual.any() else 0.0
    if change == 0.0:
        return 0.0
    return float((np.var(falling) - np.var(rising)) / change)
