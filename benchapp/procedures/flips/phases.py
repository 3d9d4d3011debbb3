"""When the probe should flip the contact itself, so that the flips fall evenly over the frame."""

from collections.abc import Callable
from math import ceil, sqrt

GOLDEN = (sqrt(5) - 1) / 2
"""Steps of this fraction of a circle spread any number of points more evenly than any other step (three-distance
theorem)."""
RANDOM_FRAMES = 24


class GoldenPhases:
    """Plans flips at phases stepped by the golden ratio, each after a random whole number of frames.

    With a fixed number of frames the flips would keep step with anything slower than a frame, and the interval of
    the mean would be far too narrow. draw returns a random number in [0, 1) each time it is called.
    (`--lead flip=drive` lets the probe flip at these moments.)
    """

    def __init__(self, draw: Callable[[], float]) -> None:
        self._draw = draw
        self._phase = draw()

    def next_ns(self, *, leading_ns: int, period_ns: float, not_before_ns: int) -> int:
        """Return when to flip next, [ns]; 0 to 24 frames after the first moment of its phase that is allowed.

        leading_ns is the leading edge of an output pulse, period_ns the frame period.
        """
        self._phase = (self._phase + GOLDEN) % 1.0
        frames = ceil((not_before_ns - leading_ns) / period_ns - self._phase)
        frames += int(self._draw() * (RANDOM_FRAMES + 1))
        return leading_ns + round((frames + self._phase) * period_ns)
