"""A board that opening its port resets is given three seconds, and no more, to say what it is."""

import pytest

from benchapp.probe.conversation import Conversation
from benchapp.probe.greeting import greet
from benchapp.probe.link import Arrival
from benchapp.probe.timebase import StretchOpened
from benchapp.probe.wire import Commands, Decoder
from benchapp.records.errors import NoProbeProgram
from benchapp.records.run import Origin
from tests.probe.scripted_probe import ScriptedProbe

MS = 1_000_000
READ_NS = 20 * MS


class BootingLink:
    """A port whose board has just been reset: for so long its boot loader hears and says nothing."""

    name = "a booting board"
    origin = Origin.PROBE

    def __init__(self, awake_ms: float) -> None:
        self.probe = ScriptedProbe()
        self._awake_ns = awake_ms * MS
        self._now_ns = self._beat_ns = 0
        self._said: bytes | None = None
        self.writes = 0

    def read(self) -> Arrival:
        self._now_ns += READ_NS
        data = b""
        if self._now_ns >= self._awake_ns:
            if self._said is None:
                self._said = self.probe.reset(77)
            data, self._said = self._said, b""
            if self._now_ns - self._beat_ns >= 100 * MS:
                self._beat_ns = self._now_ns
                data += self.probe.heartbeat(self._now_ns * 16 // 1000)
        return Arrival(data=data, host_ns=self._now_ns)

    def write(self, data: bytes) -> None:
        self.writes += 1
        if self._now_ns >= self._awake_ns:
            self._said = (self._said or b"") + self.probe.hear(data)

    def host_ns(self) -> int:
        return self._now_ns

    def close(self) -> None:
        pass


@pytest.mark.parametrize("awake_ms", [0, 500, 2000, 2500, 2900])
def test_a_board_that_takes_up_to_three_seconds_to_start_is_greeted_and_started(awake_ms):
    link = BootingLink(awake_ms)
    outputs = Conversation(link).begin()
    assert any(isinstance(output, StretchOpened) for output in outputs)
    assert link.probe.started
    assert link.host_ns() < (awake_ms + 500) * MS


def test_a_board_that_says_nothing_for_three_seconds_is_given_up_in_words():
    link = BootingLink(awake_ms=3200)
    with pytest.raises(NoProbeProgram, match="expected within 3 s, nothing came"):
        greet(link, Decoder())
    assert 3000 * MS <= link.host_ns() < 3200 * MS
    assert link.writes == 3
    assert Commands.IDENTIFY not in link.probe.heard, "all three were said while it could not hear"
