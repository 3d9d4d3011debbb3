"""The pulse train on the module lead: a frame a scan, its channels marked off by separators."""

from collections.abc import Callable, Iterator

from benchapp.probe.practice.radios import Radio, Train


def train_edges_ns(train: Train, scan_ns: int, moved_us: float) -> Iterator[tuple[int, int]]:
    """Yield the transitions of one frame begun at a scan: (instant, level after).

    moved_us : duration of the channel that shows the control
    """
    begins_ns = scan_ns
    separator_ns = train.separator_us * 1000
    for channel, rest_us in enumerate(train.rest_us, start=1):
        yield begins_ns, 1
        yield begins_ns + separator_ns, 0
        begins_ns += round((moved_us if channel == train.channel else rest_us) * 1000)
    yield begins_ns, 1
    yield begins_ns + separator_ns, 0


def moved_done_ns(train: Train, scan_ns: int, moved_us: float) -> int:
    """Return the edge that completes the moved channel of the frame begun at a scan."""
    before_us = sum(train.rest_us[: train.channel - 1])
    return scan_ns + before_us * 1000 + round(moved_us * 1000)


class ModuleLead:
    """Makes the train's transitions scan by scan, showing each flip from the scan that sees it.

    follow : gives the moved channel's value at a scan while the stick has it; None while it has not
    """

    def __init__(self, radio: Radio, start_us: float) -> None:
        self._radio = radio
        self._now_us = start_us
        self._changes: list[tuple[int, float]] = []
        self._next_ns: int | None = None
        self.follow: Callable[[int], float] | None = None

    def begin(self, scan_base_ns: int, value_us: float) -> None:
        """Take up trains that begin at scan_base_ns, at a value."""
        self._changes.clear()
        self._now_us = value_us
        self._next_ns = scan_base_ns

    def stop(self) -> None:
        """End the pulse train: no further frame of it begins."""
        self._next_ns = None

    def change(self, seen_ns: int, to_us: float) -> int | None:
        """Show a value from the scan at seen_ns on; return the edge that completes it, None without a train."""
        if self._radio.train is None:
            return None
        self._changes.append((seen_ns, to_us))
        return moved_done_ns(self._radio.train, seen_ns, to_us)

    def edges_until(self, to_ns: int) -> Iterator[tuple[int, int]]:
        """Yield the transitions of every train begun at or before to_ns."""
        train = self._radio.train
        if train is None:
            return
        while self._next_ns is not None and self._next_ns <= to_ns:
            while self._changes and self._changes[0][0] <= self._next_ns:
                self._now_us = self._changes.pop(0)[1]
            if self.follow is not None:
                self._now_us = self.follow(self._next_ns)
            yield from train_edges_ns(train, self._next_ns, self._now_us)
            self._next_ns += self._radio.scan_ns
