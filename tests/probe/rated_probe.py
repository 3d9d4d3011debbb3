"""A live probe whose line has a rate: what is said at another one arrives as garbage, and some rates do not hold."""

import random
import time
from collections.abc import Callable, Collection

from benchapp.probe.framing import FrameSplitter
from benchapp.probe.wire import Commands, unpack_command
from tests.probe.pty_peer import LiveProbe

START = 115_200
TRIAL_S = 1.0


class RatedProbe(LiveProbe):
    """host_rate says which rate the other end has set.

    deaf_at and mute_at: rates at which nothing arrives whole here, or there; lossy {rate: share of frames spoilt};
    refuses: rates the board does not offer.
    """

    def __init__(
        self,
        *,
        deaf_at: Collection[int] = (),
        mute_at: Collection[int] = (),
        lossy: dict[int, float] | None = None,
        refuses: Collection[int] = (),
        speaks: int = START,
        **facts: int,
    ) -> None:
        super().__init__(**facts)
        self.host_rate: Callable[[], int] = lambda: self.speaks
        self.speaks = speaks
        self.proved = speaks
        self.level_rate_hz: int | None = None
        self._deaf_at, self._mute_at, self._lossy, self._refuses = deaf_at, mute_at, lossy or {}, refuses
        self._trial_until_s: float | None = None
        self._draw = random.Random(5)
        self._peek = FrameSplitter()

    def hear(self, data: bytes) -> bytes:
        if self.host_rate() != self.speaks or self.speaks in self._deaf_at:
            data = garbled(data)
        answers = b""
        for piece in data.split(b"\0"):
            if piece:
                answers += self._hear_one(piece + b"\0")
        return answers

    def play(self) -> bytes:
        if self._trial_until_s is not None and time.monotonic() > self._trial_until_s:
            self._trial_until_s, self.speaks = None, self.proved
        if self.reset_to is not None:
            self._trial_until_s, self.speaks, self.proved = None, START, START
        return self._sent(super().play())

    def _hear_one(self, frame: bytes) -> bytes:
        (body,) = self._peek.feed(frame)
        command = unpack_command(body[2:]) if isinstance(body, bytes) and body[0] == 16 else None
        answer = self._sent(super().hear(frame))
        if command is None:
            return answer
        if command.command is Commands.BAUD and self._trial_until_s is None:
            if command.fields["rate"] in self._refuses:
                return b""
            self.speaks, self._trial_until_s = command.fields["rate"], time.monotonic() + TRIAL_S
        if command.command is Commands.PING and self._trial_until_s is not None:
            self.proved, self._trial_until_s = self.speaks, None
        if command.command is Commands.START:
            self.level_rate_hz = command.fields["level_rate_hz"]
        return answer

    def _sent(self, data: bytes) -> bytes:
        if not data:
            return data
        if self.host_rate() != self.speaks or self.speaks in self._mute_at:
            return garbled(data)
        if self._draw.random() < self._lossy.get(self.speaks, 0.0):
            return data[:3] + data[4:]
        return data


def garbled(data: bytes) -> bytes:
    return bytes((byte * 37 + 0x5B) & 0xFF for byte in data)
