"""The practice stick: where it stands while it is flicked from stop to stop."""

from collections import deque

FLICK_NS = 24_000_000
"""A flick lasts this long, evenly; it passes mid-travel half-way through."""


class Stick:
    """Remembers the newest flicks, which alternate. It stands between 0, at first, and 1."""

    def __init__(self) -> None:
        self._flicks: deque[tuple[int, int]] = deque(maxlen=4)

    def flick(self, mid_ns: int, thrown: bool) -> None:
        """Let it pass mid-travel at an instant, on its way to 1 if thrown, else to 0."""
        self._flicks.append((mid_ns, int(thrown)))

    def forget_planned(self, now_ns: int) -> None:
        """Take back flicks that pass mid-travel after now."""
        while self._flicks and self._flicks[-1][0] > now_ns:
            self._flicks.pop()

    def position_at(self, ns: int) -> float:
        """Return where it stands, 0 to 1."""
        for mid_ns, target in reversed(self._flicks):
            share = 0.5 + (ns - mid_ns) / FLICK_NS
            if share > 0:
                return target * min(1.0, share) + (1 - target) * max(0.0, 1 - share)
        return 0.0 if not self._flicks else float(1 - self._flicks[0][1])
