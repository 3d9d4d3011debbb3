"""A probe on the far end of a real pseudo-terminal, played by a thread."""

import contextlib
import fcntl
import os
import select
import struct
import threading
import time
import tty
from collections.abc import Callable, Iterator

from tests.probe.scripted_probe import ScriptedProbe

TICK_NS = 62.5
_TCGETS2 = 0x802C542A  # Linux, asm-generic/ioctls.h; termios.tcgetattr cannot say 250,000
_TERMIOS2 = struct.Struct("4IB19s2I")


class PtyPeer:
    """`port` is the name a program opens; `play` is asked 200 times a second what else to send."""

    def __init__(self, hear: Callable[[bytes], bytes], play: Callable[[], bytes] = bytes) -> None:
        self._hear, self._play = hear, play
        self._far, self._near = os.openpty()
        tty.setraw(self._near)
        self.port = os.ttyname(self._near)
        self.heard = b""
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._serve, name="pty peer")

    def start(self) -> None:
        self._thread.start()

    def rate(self) -> int:
        """The rate whoever has the port open has set; a pseudo-terminal itself passes bytes at any."""
        room = bytearray(_TERMIOS2.size)
        fcntl.ioctl(self._far, _TCGETS2, room)
        return _TERMIOS2.unpack(room)[-1]

    def unplug(self) -> None:
        """What a pulled plug does to whoever has the port open."""
        if self._stop.is_set():
            return
        self._stop.set()
        self._thread.join()
        os.close(self._near)
        os.close(self._far)

    def _serve(self) -> None:
        while not self._stop.is_set():
            ready, _, _ = select.select([self._far], [], [], 0.005)
            answer = b""
            if ready:
                data = os.read(self._far, 4096)
                self.heard += data
                answer = self._hear(data)
            answer += self._play()
            if answer:
                os.write(self._far, answer)


@contextlib.contextmanager
def peer(hear: Callable[[bytes], bytes], play: Callable[[], bytes] = bytes) -> Iterator[PtyPeer]:
    """A peer that is unplugged at the end, whatever happened."""
    played = PtyPeer(hear, play)
    played.start()
    try:
        yield played
    finally:
        played.unplug()


class LiveProbe(ScriptedProbe):
    """A scripted probe in real time: a heartbeat ten a second, once started an edge of lead 0 every 5 ms."""

    def __init__(self, **facts: int) -> None:
        super().__init__(**facts)
        self._began_s = time.monotonic()
        self._beats = self._edges = 0
        self.reset_to: int | None = None

    def _now(self) -> int:
        return int((time.monotonic() - self._began_s) * 1e9 / TICK_NS)

    def hear(self, data: bytes) -> bytes:
        self.tick = self._now()
        return super().hear(data)

    def play(self) -> bytes:
        if self.reset_to is not None:
            start_id, self.reset_to = self.reset_to, None
            self._began_s, self._beats = time.monotonic(), 0
            return self.reset(start_id)
        data = b""
        now = self._now()
        if self.started:
            self._edges += 1
            data += self.edges((0, self._edges & 1, now))
        if now >= self._beats * self.hz // 10:
            self._beats += 1
            data += self.heartbeat(now)
        return data
