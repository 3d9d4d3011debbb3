"""A probe on a real pseudo-terminal whose far end may be full, and which knows which of its edges never got through."""

import contextlib
import os
import select
import threading
import time
import tty
from collections.abc import Callable, Iterator

from tests.probe.scripted_probe import ScriptedProbe

TICK_NS = 62.5
WITHIN_S = 60.0
"""No wait for a thing lasts as long unless it never comes."""


def wait_until(there: Callable[[], object]) -> None:
    """Return once it is so."""
    end_s = time.monotonic() + WITHIN_S
    while not there():
        assert time.monotonic() < end_s, "it never came"
        select.select([], [], [], 0.005)


class CrowdedPort:
    """Plays a probe in real time; what the terminal does not take at once is lost, as from a board whose host stalls.

    sent : the ticks of every edge the probe holds to be sent      refused : of those in frames that did not get through
    rush : edges as fast as a serial line brings them; quiet : heartbeats only
    """

    def __init__(self, probe: ScriptedProbe | None = None) -> None:
        self.probe = probe or ScriptedProbe()
        self.sent: list[int] = []
        self.refused: list[int] = []
        self.heard = b""
        self.rush = self.quiet = False
        self.beats = self._edges = 0
        self._began_s, self._beat_s = time.monotonic(), 0.0
        self._far, self._near = os.openpty()
        tty.setraw(self._near)
        os.set_blocking(self._far, False)
        self.port = os.ttyname(self._near)
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._serve, name="crowded port")
        self._thread.start()

    def unplug(self) -> None:
        """Take the port away."""
        if not self._stop.is_set():
            self._stop.set()
            self._thread.join()
            os.close(self._near)
            os.close(self._far)

    def _now(self) -> int:
        return int((time.monotonic() - self._began_s) * 1e9 / TICK_NS)

    def _serve(self) -> None:
        while not self._stop.is_set():
            ready, _, _ = select.select([self._far], [], [], 0.001 if self.rush else 0.005)
            self.probe.tick = self._now()
            if ready:
                data = os.read(self._far, 4096)
                self.heard += data
                self._put(self.probe.hear(data))
            if self.probe.started and not self.quiet:
                for _ in range(8 if self.rush else 1):
                    self._put_edges(12 if self.rush else 2)
            if time.monotonic() - self._beat_s >= 0.1:
                self._beat_s = time.monotonic()
                self.beats += self._put(self.probe.heartbeat(self._now()))

    def _put_edges(self, count: int) -> None:
        first, ticks = max(self._now(), *self.sent[-1:], 0) + 1, []
        for number in range(count):
            self._edges += 1
            ticks.append(first + 200 * number)
        levels = [(self._edges - count + number) & 1 for number in range(count)]
        frame = self.probe.edges(*((0, level, tick) for level, tick in zip(levels, ticks, strict=True)))
        self.sent += ticks
        if not self._put(frame):
            self.refused += ticks

    def _put(self, data: bytes) -> bool:
        """Return whether all of it was taken."""
        try:
            return os.write(self._far, data) == len(data) if data else True
        except BlockingIOError:
            return False


@contextlib.contextmanager
def crowded(probe: ScriptedProbe | None = None) -> Iterator[CrowdedPort]:
    """A port that is unplugged at the end, whatever happened."""
    port = CrowdedPort(probe)
    try:
        yield port
    finally:
        port.unplug()
