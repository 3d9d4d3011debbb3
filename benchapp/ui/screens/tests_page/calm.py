"""A moment in which a hasty hand does nothing: what it pressed was meant for what stood there before.

The run's buttons are off for it right after a run began or ended; Esc always stops. (No event filter on the
application does this: the deletions of objects pass through such a filter too, and end in a crash.)
"""

import time
from collections.abc import Callable

CALM_S = 1.5
"""A hand that flips once a second, or clicks twice, has seen by then that the page is another (common practice, no
source)."""


class Calm:
    """Begun when a page changed under a hasty hand; tells when clicks count again. now_s: the time in seconds."""

    def __init__(self) -> None:
        self._until_s = float("-inf")
        self.now_s: Callable[[], float] = time.monotonic

    @property
    def over(self) -> bool:
        """Whether clicks and keys mean what they say again."""
        return self.now_s() >= self._until_s

    def begin(self) -> None:
        """Begin the time in which clicks and keys do nothing."""
        self._until_s = self.now_s() + CALM_S
