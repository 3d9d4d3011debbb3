"""What the simulated probe means to do, and when."""

import heapq
from collections.abc import Callable

Action = Callable[[], None]


class Agenda:
    """Actions at instants of true time, taken in order of time, then of planning."""

    def __init__(self) -> None:
        self._entries: list[tuple[int, int, Action]] = []
        self._planned = 0

    def plan(self, at_ns: int, action: Action) -> None:
        """Plan an action; one planned for the past is due at once."""
        self._planned += 1
        heapq.heappush(self._entries, (at_ns, self._planned, action))

    def take(self, until_ns: int) -> tuple[int, Action] | None:
        """Return the next action due by then and its instant, and strike it off; None if there is none."""
        if not self._entries or self._entries[0][0] > until_ns:
            return None
        at_ns, _, action = heapq.heappop(self._entries)
        return at_ns, action
