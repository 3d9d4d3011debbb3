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
"""Score beyond which one edge train is clearly the steadier; 1 is the ideal case, 0 is noise."""
_FEWEST = 8


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
        if_low, if_high = (_steadiness_score(line, level) for level in (0, 1))
        if max(if_low, if_high) > _DECIDED:
            return PulseState(level=int(if_high > if_low), guessed=False)
    if not low.size or not high.size:
        return PulseState(level=1, guessed=True)
    return PulseState(level=int(np.median(high) <= np.median(low)), guessed=True)


def _share_in_range(durations: NDArray[np.int64]) -> float:
    """Return the share of durations a servo pulse may have; 0 for none."""
    if not durations.size:
        return 0.0
    return float(np.mean((durations >= SHORTEST_PULSE_NS) & (durations <= LONGEST_PULSE_NS)))


def _steadiness_score(line: Transitions, level: int) -> float:
    """Return how clearly stays at a level look like pulses: 1 where their starts are steady apart from their durations.

    With a the intervals between starts and b those between ends, b - a is the change of duration. If durations
    change by themselves, var b - var a = var(b - a); if they only mirror a wandering start, it is the negative of
    that. 0 where durations vary too little for the difference to rise above the luck of the draw.
    (Comparing the raw spread of starts and ends fails once the starts themselves jitter. A score counts only where
    luck cannot reach half of what decides; else the shorter state is taken, flagged `polarity-guessed`.)
    """
    unbroken = ~line.broken
    whole = np.flatnonzero((line.levels[:-3] == level) & unbroken[1:-2] & unbroken[2:-1] & unbroken[3:])
    if whole.size < _FEWEST:
        return 0.0
    times = line.times_ns
    starts = (times[whole + 2] - times[whole]).astype(np.float64)
    ends = (times[whole + 3] - times[whole + 1]).astype(np.float64)
    period = float(np.median(starts))
    usual = (np.abs(starts - period) < period / 2) & (np.abs(ends - period) < period)
    starts, ends = starts[usual], ends[usual]
    if starts.size < _FEWEST:
        return 0.0
    change, wander = float(np.var(ends - starts)), float(np.var(starts))
    # The covariance of starts and changes is known to sqrt(wander * change / n); twice that must stay small.
    if change == 0.0 or 2 * np.sqrt(wander / (change * starts.size)) > _DECIDED / 2:
        return 0.0
    return float((np.var(ends) - wander) / change)
