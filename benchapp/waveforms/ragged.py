"""Whether servo pulses are weak or ragged: cut short, doubled, chattering, odd in length or out of step."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from benchapp.records.run import Polarity
from benchapp.records.stream import Edges, Gap
from benchapp.waveforms.pulses import Pulses, servo_pulses

USUAL_NS = (800_000, 2_200_000)
"""What a pulse of the common standard may last, wide end points included; common practice, no source."""
FEWEST = 10
"""Fewer pulses than this say nothing about the rest."""
_BAD_SHARE = 0.02
_FEWEST_BAD = 2
_OUT_OF_STEP_SHARE = 0.1
_NEAR_A_FRAME = 0.25
MOST_EDGES_A_PULSE = 24
"""A pulse that chatters has up to so many edges; a frame of a serial output has a hundred and more."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Raggedness:
    """What is wrong with the pulses of a line.

    pulses      : whole pulses seen      spoilt : spikes, runts, dips and stays too long, each counted once
    odd         : pulses outside 0.8 to 2.2 ms on a line that otherwise keeps to it
    out_of_step : share of the intervals that are no whole number of frames, 0 to 1
    """

    pulses: int
    spoilt: int
    odd: int
    out_of_step: float

    @property
    def bad(self) -> int:
        """How many things are wrong with single pulses."""
        return self.spoilt + self.odd

    @property
    def ragged(self) -> bool:
        """Whether it is too much to be an accident: 2 % and at least two bad pulses, or a tenth out of step."""
        if self.pulses < FEWEST:
            return False
        many = self.bad >= max(_FEWEST_BAD, _BAD_SHARE * (self.pulses + self.spoilt))
        return many or self.out_of_step > _OUT_OF_STEP_SHARE


def raggedness(edges: Edges, gaps: Sequence[Gap] = (), *, polarity: Polarity = Polarity.FIND) -> Raggedness:
    """Return what is wrong with a line's servo pulses, counted by the functions that make the findings."""
    pulses = servo_pulses(edges, gaps, polarity=polarity)
    return Raggedness(
        pulses=pulses.count,
        spoilt=int(pulses.glitches_ns.size),
        odd=_odd(pulses),
        out_of_step=_out_of_step(pulses),
    )


def chatters(edges: Edges, gaps: Sequence[Gap] = (), *, polarity: Polarity = Polarity.FIND) -> bool:
    """Return whether a line of very short states is servo pulses with chatter at their edges, and no serial output."""
    pulses = servo_pulses(edges, gaps, polarity=polarity)
    return pulses.count >= FEWEST and edges.count <= MOST_EDGES_A_PULSE * pulses.count


def _odd(pulses: Pulses) -> int:
    """Return how many pulses leave the usual span; none on a line of narrow pulses, which has a standard of its own."""
    low, high = USUAL_NS
    if not pulses.count or not low <= float(np.median(pulses.durations_ns)) <= high:
        return 0
    return int(np.count_nonzero((pulses.durations_ns < low) | (pulses.durations_ns > high)))


def _out_of_step(pulses: Pulses) -> float:
    """Return the share of intervals farther than a quarter of a frame from any whole number of frames."""
    intervals = np.diff(pulses.leading_ns)[~pulses.broken[1:]]
    if intervals.size < FEWEST:
        return 0.0
    frames = intervals / float(np.median(intervals))
    return float(np.mean(np.abs(frames - np.maximum(np.rint(frames), 1)) > _NEAR_A_FRAME))
