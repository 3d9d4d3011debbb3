"""What the bench knows of each flip: when it was, and which output pulse answered it."""

import math
import struct
import tempfile
import weakref
from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, field

from benchapp.probe.practice.law import POINTS

_LEAST_WINDOW_NS = 500_000_000
_WINDOW_FRAMES = 20
_MID = 1


@dataclass(slots=True)
class Flip:
    """One flip of the practice switch. Instants in true time; None where there is none.

    deadline_ns : no pulse that ends later answers it: the window is over, or the next flip came
    to_us is None if the flip cannot be answered: never seen, or the output stood there already.
    leading_ns, trailing_ns : the pulses that are the first, the mid and the near-final answer
    opening_ns : the beginning of the last pulse that began at or before the flip
    pulses_to_mid : how many began after it, up to the mid answer
    module_ns : the edge that completes the moved channel in the first train that shows the flip
    """

    at_ns: int
    thrown: bool
    up: bool
    switch_on: int
    dead: bool = False
    deadline_ns: int = 0
    from_us: float = 0.0
    to_us: float | None = None
    module_ns: int | None = None
    opening_ns: int | None = None
    pulses_to_mid: int = 0
    leading_ns: list[int | None] = field(default_factory=lambda: [None, None, None])
    trailing_ns: list[int | None] = field(default_factory=lambda: [None, None, None])

    def point_ms(self, n: int, *, leading: bool = False) -> float | None:
        """Return the latency of the n-th point, to its pulse's trailing (or leading) edge; None without answer."""
        trailing_ns = self.trailing_ns[n]
        edge_ns = self.leading_ns[n] if leading else trailing_ns
        if edge_ns is None or trailing_ns is None or trailing_ns > self.deadline_ns:
            return None
        return (edge_ns - self.at_ns) / 1e6

    @property
    def settled(self) -> bool:
        """Whether nothing more can be learnt of it."""
        return self.to_us is None or self.trailing_ns[-1] is not None


def _note(flip: Flip, share: float, leading_ns: int, trailing_ns: int) -> None:
    for n, point in enumerate(POINTS):
        if share >= point and flip.trailing_ns[n] is None:
            flip.leading_ns[n], flip.trailing_ns[n] = leading_ns, trailing_ns


_IN_MEMORY_BYTES = 64 * 1024
_NONE = -(1 << 63)
_ROW = struct.Struct("<q??i?qddqqi6q")


class FlipRows:
    """Flips of which nothing more can be learnt, in a nameless file once they are many."""

    def __init__(self) -> None:
        self._file = tempfile.SpooledTemporaryFile(max_size=_IN_MEMORY_BYTES)  # noqa: SIM115 - it lives as long as this
        weakref.finalize(self, self._file.close)

    def append(self, flip: Flip) -> None:
        """Keep a flip."""
        edges = [_NONE if ns is None else ns for ns in (*flip.leading_ns, *flip.trailing_ns)]
        row = _ROW.pack(
            flip.at_ns,
            flip.thrown,
            flip.up,
            flip.switch_on,
            flip.dead,
            flip.deadline_ns,
            flip.from_us,
            float("nan") if flip.to_us is None else flip.to_us,
            _NONE if flip.module_ns is None else flip.module_ns,
            _NONE if flip.opening_ns is None else flip.opening_ns,
            flip.pulses_to_mid,
            *edges,
        )
        self._file.write(row)

    def __iter__(self) -> Iterator[Flip]:
        self._file.seek(0)
        for row in _ROW.iter_unpack(self._file.read()):
            at_ns, thrown, up, switch_on, dead, deadline_ns, from_us, to_us, module_ns, opening_ns, pulses, *edges = row
            ends = [None if ns == _NONE else ns for ns in edges]
            yield Flip(
                at_ns=at_ns,
                thrown=thrown,
                up=up,
                switch_on=switch_on,
                dead=dead,
                deadline_ns=deadline_ns,
                from_us=from_us,
                to_us=None if math.isnan(to_us) else to_us,
                module_ns=None if module_ns == _NONE else module_ns,
                opening_ns=None if opening_ns == _NONE else opening_ns,
                pulses_to_mid=pulses,
                leading_ns=ends[:3],
                trailing_ns=ends[3:],
            )


class Answers:
    """The flips in order, each told of the output pulses that follow it.

    remember : keep those that are over, for the truth
    """

    def __init__(self, frame_ns: int, *, remember: bool = True) -> None:
        self._over = FlipRows()
        self._recent: deque[Flip] = deque()
        self._remember = remember
        self._open: list[Flip] = []
        self._begun: deque[int] = deque(maxlen=4)
        self._window_ns = max(_LEAST_WINDOW_NS, _WINDOW_FRAMES * frame_ns)

    @property
    def flips(self) -> list[Flip]:
        """Every flip that is remembered, in order."""
        return [*self._over, *self._recent]

    @property
    def last(self) -> Flip | None:
        """The newest flip, None before any."""
        return self._recent[-1] if self._recent else None

    def open(self, flip: Flip) -> None:
        """Add a flip; those before it can be answered only until it."""
        if self.last is not None:
            self.last.deadline_ns = min(self.last.deadline_ns, flip.at_ns)
        flip.deadline_ns = flip.at_ns + self._window_ns
        flip.opening_ns = max((ns for ns in self._begun if ns <= flip.at_ns), default=None)
        self._recent.append(flip)
        self._open.append(flip)
        while self._recent[0] is not self._open[0]:  # nothing more will be learnt of it
            over = self._recent.popleft()
            if self._remember:
                self._over.append(over)

    def waiting(self, now_ns: int) -> bool:
        """Return whether a pulse still to come could answer a flip."""
        return any(not flip.settled and now_ns < flip.deadline_ns for flip in self._open)

    def see_pulse(self, leading_ns: int, trailing_ns: int, meant_us: float) -> None:
        """Tell of an output pulse; meant_us is its duration without noise."""
        self._begun.append(leading_ns)
        for flip in self._open:
            if leading_ns <= flip.at_ns:
                flip.opening_ns = leading_ns
            elif flip.to_us is not None and trailing_ns <= flip.deadline_ns:
                flip.pulses_to_mid += flip.trailing_ns[_MID] is None
                share = (meant_us - flip.from_us) / (flip.to_us - flip.from_us)
                _note(flip, share, leading_ns, trailing_ns)
        self._open = [flip for flip in self._open if not flip.settled and leading_ns <= flip.deadline_ns]
