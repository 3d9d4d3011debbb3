"""When the bench flips its own switch."""

from random import Random

from benchapp.probe.practice.law import SwitchOn
from benchapp.probe.practice.options import BenchOptions, Flips

GOLDEN_STEP = (5**0.5 - 1) / 2
"""The step round the frame that spreads any number of flips most evenly."""
MOST_EXTRA_FRAMES = 24
RANDOM_SPREAD_S = 0.7
"""A random flip comes up to this long after the dwell: 31 frames of the slowest practice radio."""
_SPIKE_CLEARANCE_NS = 60_000_000
_SPIKE_NS = (2_000, 200_000)


def random_flip_ns(last_ns: int, dwell_ns: int, rng: Random) -> int:
    """Return the next flip: the dwell, then anywhere in the spread."""
    return last_ns + dwell_ns + int(rng.uniform(0, RANDOM_SPREAD_S * 1e9))


def golden_flip_ns(earliest_ns: int, phase: float, extra_frames: int, *, clock: SwitchOn, frame_ns: int) -> int:
    """Return the next flip: the first instant of that phase from earliest_ns on, then so many whole frames on.

    phase : time since the last frame began, as a fraction of the frame
    """
    target_ns = clock.frame_base_ns + round(phase * frame_ns)
    return target_ns - (target_ns - earliest_ns) // frame_ns * frame_ns + extra_frames * frame_ns


class Flipper:
    """Plans the flips one at a time, with the spikes before each."""

    def __init__(self, options: BenchOptions, frame_ns: int) -> None:
        self._options = options
        self._frame_ns = frame_ns
        self._dwell_ns = round(options.dwell_s * 1e9)
        self._rng = Random(f"flipper {options.seed}")
        self._phase = self._rng.random()

    def next_ns(self, last_ns: int, clock: SwitchOn) -> int | None:
        """Return when the switch flips next; None if the bench leaves it alone."""
        if self._options.flips is Flips.NONE:
            return None
        if self._options.flips is Flips.RANDOM:
            return random_flip_ns(last_ns, self._dwell_ns, self._rng)
        self._phase = (self._phase + GOLDEN_STEP) % 1.0
        extra = self._rng.randint(0, MOST_EXTRA_FRAMES)
        return golden_flip_ns(last_ns + self._dwell_ns, self._phase, extra, clock=clock, frame_ns=self._frame_ns)

    def spikes_ns(self, last_ns: int, next_ns: int) -> list[tuple[int, int]]:
        """Return the spikes on the switch between two flips, clear of both: (begins, ends), in order."""
        begin_ns, end_ns = last_ns + _SPIKE_CLEARANCE_NS, next_ns - _SPIKE_CLEARANCE_NS
        spikes = []
        while self._options.glitch_per_s > 0:
            begin_ns += round(self._rng.expovariate(self._options.glitch_per_s) * 1e9)
            if begin_ns >= end_ns:
                break
            spikes.append((begin_ns, begin_ns + self._rng.randint(*_SPIKE_NS)))
            begin_ns = spikes[-1][1] + _SPIKE_CLEARANCE_NS
        return spikes
