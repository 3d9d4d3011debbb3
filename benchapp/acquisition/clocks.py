"""The computer's clocks, as far as a recording asks for them; tests put others in their place."""

import time
from typing import Protocol


class HostClocks(Protocol):
    """Clocks that never step back."""

    def monotonic_ns(self) -> int:
        """Return the time since some moment, sleep left out [ns]."""

    def asleep_ns(self) -> int:
        """Return how long the computer has slept since it was started [ns]; 0 where it cannot tell."""


class SystemClocks:
    """The clocks of this computer, which never step back."""

    def monotonic_ns(self) -> int:
        """Return the time since some moment, sleep left out [ns]."""
        return time.monotonic_ns()

    def asleep_ns(self) -> int:
        """Return how long the computer has slept [ns]; 0 where the system has no clock that counts sleep."""
        counted = getattr(time, "CLOCK_BOOTTIME", None)
        if counted is None:
            return 0
        return time.clock_gettime_ns(counted) - time.clock_gettime_ns(time.CLOCK_MONOTONIC)
