"""The receiver's output: one pulse a frame, moving when a flip arrives."""

from collections import deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from random import Random

from benchapp.probe.practice.answers import Answers
from benchapp.probe.practice.options import BenchOptions

_SPIKE_CLEARANCE_NS = 400_000
_SPIKE_NS = (2_000, 100_000)


@dataclass(frozen=True, kw_only=True, slots=True)
class Arrival:
    """A value the receiver has got: from arrived_ns on, its pulses step to to_us through shares."""

    arrived_ns: int
    to_us: float
    shares: tuple[float, ...]


class Output:
    """Makes the output's transitions frame by frame, and tells the answers of every pulse.

    follow : gives the pulse of a frame from its instant while the stick has the channel; None while it has not
    """

    def __init__(self, options: BenchOptions, answers: Answers, start_us: float) -> None:
        self._options = options
        self._answers = answers
        self._rng = Random(f"output {options.seed}")
        self._frame_ns = options.radio.frame_ns
        self._jitter_ns = round(options.jitter_us * 1000)
        self._spike_chance = options.glitch_per_s * self._frame_ns * 1e-9
        self._arrivals: deque[Arrival] = deque()
        self._from_us = self._to_us = self._now_us = start_us
        self._shares: Iterator[float] = iter(())
        self._next_ns: int | None = None
        self._stops_ns: int | None = None
        self.rest_level = int(options.invert)
        self.follow: Callable[[int], float] | None = None

    @property
    def now_us(self) -> float:
        """What the newest pulse was meant to last."""
        return self._now_us

    def begin(self, frame_base_ns: int, value_us: float) -> None:
        """Take up frames that begin at frame_base_ns, at a value, forgetting what was on its way."""
        self._arrivals.clear()
        self._shares = iter(())
        self._from_us = self._to_us = self._now_us = value_us
        self._next_ns = frame_base_ns
        self._stops_ns = None

    def lose(self, at_ns: int, *, silent: bool) -> None:
        """Lose the link: what has not arrived never will; a silent receiver makes no frame after at_ns."""
        self._arrivals = deque(arrival for arrival in self._arrivals if arrival.arrived_ns <= at_ns)
        self._stops_ns = at_ns if silent else None

    def receive(self, arrival: Arrival) -> None:
        """Take a value that has been, or is yet to be, received."""
        self._arrivals.append(arrival)

    def edges_until(self, to_ns: int) -> Iterator[tuple[int, int]]:
        """Yield the transitions of every frame that may begin at or before to_ns: (instant, level after)."""
        while self._next_ns is not None and self._next_ns - self._jitter_ns <= to_ns:
            if self._stops_ns is not None and self._next_ns > self._stops_ns:
                self._next_ns = None
                return
            yield from self._frame(self._next_ns)
            self._next_ns += self._frame_ns

    def _frame(self, frame_ns: int) -> Iterator[tuple[int, int]]:
        meant_us = self._value_us(frame_ns)
        options, rng = self._options, self._rng
        leading_ns = frame_ns + rng.randint(-self._jitter_ns, self._jitter_ns)
        noise_us = rng.gauss(0.0, options.noise_us)
        trailing_ns = leading_ns + round((meant_us + noise_us) * 1000)
        spike, missing = rng.random() < self._spike_chance, rng.random() < options.dropout
        if not missing:
            self._answers.see_pulse(leading_ns, trailing_ns, meant_us)
            yield leading_ns, 1 - self.rest_level
            yield trailing_ns, self.rest_level
        if spike:
            earliest_ns = trailing_ns + _SPIKE_CLEARANCE_NS
            latest_ns = frame_ns + self._frame_ns - self._jitter_ns - _SPIKE_CLEARANCE_NS - _SPIKE_NS[1]
            spike_ns = rng.randint(earliest_ns, latest_ns)
            yield spike_ns, 1 - self.rest_level
            yield spike_ns + rng.randint(*_SPIKE_NS), self.rest_level

    def _value_us(self, frame_ns: int) -> float:
        if self.follow is not None:
            self._from_us = self._to_us = self._now_us = self.follow(frame_ns)
            return self._now_us
        while self._arrivals and self._arrivals[0].arrived_ns <= frame_ns:
            arrival = self._arrivals.popleft()
            self._from_us, self._to_us = self._now_us, arrival.to_us
            self._shares = iter(arrival.shares)
        share = next(self._shares, None)
        if share is None:
            self._now_us = self._to_us
        else:
            self._now_us = self._from_us + share * (self._to_us - self._from_us)
        return self._now_us
