"""Watches whether servo pulses keep coming."""

from bisect import bisect_right
from collections import deque
from dataclasses import dataclass
from statistics import median

import numpy as np

from benchapp.records.stream import Edges
from benchapp.waveforms.polarity import LONGEST_PULSE_NS, SHORTEST_PULSE_NS

SILENCE_NS = 200_000_000
SILENT_FRAMES = 10
"""Bad signal: no servo pulse for the longer of 10 frames and 0.2 s."""
STEADY_PULSES = 5
"""The fewest pulses that a level before a flip can be told from."""
_REMEMBERED = 32


@dataclass(frozen=True, kw_only=True, slots=True)
class SignalChange:
    """The moment the signal turned good (steady) or bad."""

    at_ns: int
    steady: bool


class SignalWatch:
    """Tells when an output's servo pulses became steady and when they stopped; fresh: those the last feed brought,
    as leading and trailing edge [ns].

    A pulse here is any stay of 0.3 to 2.7 ms in either state: enough to know that the line is alive, whichever
    state turns out to be the pulse. A stay that begins where the last pulse ended is the pause of a fast frame.
    """

    def __init__(self, start_ns: int) -> None:
        self.steady = False
        self.leading_ns: int | None = None
        self.fresh: list[tuple[int, int]] = []
        self._last_edge_ns: int | None = None
        self._last_pulse_ns = start_ns
        self._in_a_row = 0
        self._periods_ns: deque[int] = deque(maxlen=_REMEMBERED)
        self._trailing_ns: deque[int] = deque(maxlen=4096)

    @property
    def period_ns(self) -> float | None:
        """The usual time from pulse to pulse, None before there were two."""
        return median(self._periods_ns) if self._periods_ns else None

    @property
    def limit_ns(self) -> int:
        """How long servo pulses may be away before the signal counts as bad."""
        period = self.period_ns
        return SILENCE_NS if period is None else max(SILENCE_NS, round(SILENT_FRAMES * period))

    def nth_pulse_after(self, from_ns: int, n: int) -> int | None:
        """Return when the n-th pulse after a moment ended, [ns]; None while it has not."""
        later = len(self._trailing_ns) - bisect_right(self._trailing_ns, from_ns)
        return self._trailing_ns[n - 1 - later] if later >= n else None

    def feed(self, edges: Edges) -> list[SignalChange]:
        """Return the changes these edges brought, in order."""
        self.fresh = []
        if not edges.count:
            return []
        times = edges.times_ns
        if self._last_edge_ns is not None:
            times = np.concatenate([[self._last_edge_ns], times])
        self._last_edge_ns = int(times[-1])
        stays = np.diff(times)
        ends = np.flatnonzero((stays >= SHORTEST_PULSE_NS) & (stays <= LONGEST_PULSE_NS)) + 1
        changes: list[SignalChange] = []
        for leading_ns, trailing_ns in zip(times[ends - 1].tolist(), times[ends].tolist(), strict=True):
            if leading_ns != self._last_pulse_ns:
                self.fresh.append((leading_ns, trailing_ns))
                changes += self._pulse(leading_ns, trailing_ns)
        return changes

    def until(self, now_ns: int) -> list[SignalChange]:
        """Return the change that silence up to now has brought, if any."""
        lost_ns = self._last_pulse_ns + self.limit_ns
        if not self.steady or now_ns < lost_ns:
            return []
        self.steady, self._in_a_row = False, 0
        return [SignalChange(at_ns=lost_ns, steady=False)]

    def _pulse(self, leading_ns: int, trailing_ns: int) -> list[SignalChange]:
        changes = self.until(trailing_ns)
        if self._in_a_row and trailing_ns - self._last_pulse_ns > self.limit_ns:
            self._in_a_row = 0
        if self._in_a_row and self.leading_ns is not None:
            self._periods_ns.append(leading_ns - self.leading_ns)
        self._in_a_row += 1
        self.leading_ns, self._last_pulse_ns = leading_ns, trailing_ns
        self._trailing_ns.append(trailing_ns)
        if not self.steady and self._in_a_row >= STEADY_PULSES:
            self.steady = True
            changes.append(SignalChange(at_ns=trailing_ns, steady=True))
        return changes
