"""How the practice bench's time passes."""

import time
from random import Random
from typing import Protocol

_STEP_NS = 10_000_000
_FLAT_STEP_NS = 20_000_000
_MOST_AT_ONCE_NS = 1_000_000_000
_HOST_START_NS = 7_000_000_000


class Pacer(Protocol):
    """Says how far the bench's time may go, and what the host's clock shows then."""

    def now_ns(self, board_ns: int) -> int:
        """Return the bench's time at this moment, at or after board_ns, where the board stands."""

    def wait_ns(self, board_ns: int) -> int:
        """Wait for more to come, at most 20 ms; return the bench's time then."""

    def host_ns(self) -> int:
        """Return the host clock."""


class FlatPace:
    """The practice bench as fast as it is read: time passes only by reading, 20 ms a read.

    The last byte of a read arrives 50 to 250 µs after it was sent, as through a good bridge.
    """

    def __init__(self, seed: int) -> None:
        self._rng = Random(f"delay {seed}")
        self._host_ns = _HOST_START_NS

    def now_ns(self, board_ns: int) -> int:
        """Return board_ns: no time passes between reads."""
        return board_ns

    def wait_ns(self, board_ns: int) -> int:
        """Return the end of the next 20 ms, at once."""
        to_ns = board_ns + _FLAT_STEP_NS
        self._host_ns = _HOST_START_NS + to_ns + self._rng.randint(50_000, 250_000)
        return to_ns

    def host_ns(self) -> int:
        """Return the virtual host clock at the end of the last read."""
        return self._host_ns


class RealPace:
    """The practice bench in real time, by the computer's monotonic clock."""

    def __init__(self) -> None:
        self._opened_ns = time.monotonic_ns()

    def now_ns(self, board_ns: int) -> int:
        """Return the time since opening, a second after board_ns at most: a long stall is caught up in slices."""
        return max(board_ns, min(time.monotonic_ns() - self._opened_ns, board_ns + _MOST_AT_ONCE_NS))

    def wait_ns(self, board_ns: int) -> int:
        """Sleep to the next whole 10 ms, where the heartbeats are too; return the time since opening."""
        due_ns = board_ns - board_ns % _STEP_NS + _STEP_NS
        ahead_ns = due_ns - (time.monotonic_ns() - self._opened_ns)
        if ahead_ns > 0:
            time.sleep(ahead_ns / 1e9)
        return self.now_ns(board_ns)

    def host_ns(self) -> int:
        """Return the computer's monotonic clock."""
        return time.monotonic_ns()
