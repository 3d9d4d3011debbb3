"""The bounded queue from the conductor to a window: it drops the oldest and says that it did."""

from collections import deque
from dataclasses import dataclass

from benchapp.records.leads import Stretch
from benchapp.records.stream import Record


@dataclass(frozen=True, kw_only=True, slots=True)
class Missed:
    """Items were dropped here because nobody took them; the session file has them."""

    items: int


FeedItem = Record | Stretch | Missed


class Feed:
    """Records for the lanes, oldest first; a Stretch stands where a new stretch opens.

    One thread pushes, one takes; neither ever waits. What falls out is replaced by one Missed in front.
    """

    def __init__(self, *, limit: int = 4096) -> None:
        self._items: deque[Record | Stretch] = deque()
        self._limit = limit
        self._dropped = 0
        self._reported = 0

    def __len__(self) -> int:
        return len(self._items) + (self._dropped != self._reported)

    def push(self, item: Record | Stretch) -> None:
        """Append one item; the oldest falls out when the feed is full."""
        if len(self._items) >= self._limit:
            try:
                self._items.popleft()
                self._dropped += 1
            except IndexError:
                pass  # emptied by the taker in between
        self._items.append(item)

    def popleft(self) -> FeedItem:
        """Return the oldest item. Raises IndexError when there is none."""
        dropped = self._dropped
        if dropped != self._reported:
            missed = Missed(items=dropped - self._reported)
            self._reported = dropped
            return missed
        return self._items.popleft()

    def drain(self) -> list[FeedItem]:
        """Return everything there is at this moment, oldest first."""
        items: list[FeedItem] = []
        for _ in range(len(self)):
            try:
                items.append(self.popleft())
            except IndexError:
                break
        return items
