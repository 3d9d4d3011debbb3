"""Whatever a probe sends, only errors with words come of it, in bounded time and memory; seeded, so that finds stay."""

import random
from contextlib import suppress

import pytest

from benchapp.probe.clock_watch import MOST_A_SECOND, ClockWatch
from benchapp.probe.conversation import Conversation
from benchapp.probe.framing import encode_frame
from benchapp.probe.link import Arrival
from benchapp.probe.self_test import run_self_test
from benchapp.records.errors import BenchError, NotEnoughData
from tests.probe.jumpered_probe import JumperedProbe, VirtualLink

SECOND_NS = 1_000_000_000


class SpoiltLink(VirtualLink):
    """A probe's bytes with some of them changed, lost, doubled, or frames of chance between them."""

    rate = 115_200

    def __init__(self, probe: JumperedProbe, draw: random.Random, share: float) -> None:
        super().__init__(probe)
        self._draw, self._share = draw, share

    def set_rate(self, rate: int) -> bool:
        if self._draw.random() < 0.2:
            return False
        self.rate = rate
        return True

    def read(self) -> Arrival:
        arrival = super().read()
        return Arrival(data=self._spoilt(arrival.data), host_ns=arrival.host_ns)

    def _spoilt(self, data: bytes) -> bytes:
        draw = self._draw
        if draw.random() > self._share:
            return data
        match draw.randrange(5):
            case 0:
                return draw.randbytes(draw.randrange(200))
            case 1:
                return data[: draw.randrange(len(data) + 1)]
            case 2:
                return data + data
            case 3:
                return data + encode_frame(
                    draw.randrange(1, 7), draw.randrange(256), draw.randbytes(draw.randrange(65))
                )
            case _:
                return bytes(byte ^ (1 << draw.randrange(8)) if draw.random() < 0.05 else byte for byte in data)


def seeded(seed: int) -> SpoiltLink:
    draw = random.Random(seed)
    probe = JumperedProbe(wired=lambda _ms: (draw.randrange(2),) if draw.random() < 0.9 else (0, 1))
    return SpoiltLink(probe, draw, draw.choice((0.02, 0.1, 0.5, 1.0)))


@pytest.mark.parametrize("seed", range(40))
def test_a_conversation_with_it_ends_in_records_or_in_words(seed):
    link = seeded(seed)
    talk = Conversation(link)
    with suppress(BenchError):
        talk.begin()
        while link.host_ns() < 30 * SECOND_NS:
            talk.read()
    talk.close()
    assert link.closed
    assert link.host_ns() < 60 * SECOND_NS


@pytest.mark.parametrize("seed", range(40))
def test_a_self_test_and_a_clock_check_of_it_end_in_findings_or_in_words(seed):
    link = seeded(seed)
    with suppress(BenchError):
        leads = run_self_test(
            Conversation(link), tell=lambda _: None, stop=lambda: link.host_ns() > 60 * SECOND_NS, edges=20
        )
        assert all(0 <= lead.seen <= lead.driven == 20 for lead in leads)
    link = seeded(seed)
    with suppress(BenchError):
        found = ClockWatch(Conversation(link), 20.0, tell=lambda _: None, stop=lambda: False).run()
        assert found.standard_ppm >= 20.0
    assert link.host_ns() < 60 * SECOND_NS


def test_a_probe_that_sends_heartbeats_without_end_is_not_kept_without_end():
    class Eager(JumperedProbe):
        def play(self, now_ns: int) -> bytes:
            data = super().play(now_ns)
            return data + b"".join(self.heartbeat() for _ in range(20))

    watch = ClockWatch(Conversation(VirtualLink(Eager())), 10.0, tell=lambda _: None, stop=lambda: False)
    with pytest.raises(NotEnoughData, match="The 200 heartbeats that came say too little"):
        watch.run()
    assert 10 * MOST_A_SECOND == 200
