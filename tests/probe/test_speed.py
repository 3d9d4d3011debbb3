"""The rate the talk with a probe settles on, and that the way back is always found."""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from benchapp.probe import speed
from benchapp.probe.conversation import LEVEL_RATE_HZ, SLOW_LEVEL_RATE_HZ, Conversation
from benchapp.probe.opening import greet, open_link
from benchapp.probe.timebase import StretchOpened
from benchapp.probe.wire import Commands
from benchapp.records.errors import ProbeTrouble
from benchapp.records.stream import Gap
from tests.probe.pty_peer import peer
from tests.probe.rated_probe import RatedProbe
from tests.probe.test_serial_port import edge_times, read_until

FAST, MIDDLE, START = 500_000, 250_000, 115_200


@contextmanager
def talking(probe: RatedProbe) -> Iterator[Conversation]:
    with peer(probe.hear, probe.play) as far:
        probe.host_rate = far.rate
        conversation = Conversation(open_link(far.port))
        yield conversation
        conversation.close()


def begun(probe: RatedProbe) -> tuple[int, list]:
    """The rate both ends are at once some edges have come, and everything that came."""
    with talking(probe) as conversation:
        outputs = conversation.begin()
        outputs += read_until(conversation, lambda seen: len(edge_times(seen)) >= 20)
        assert conversation.link.rate == probe.speaks == probe.proved
        return probe.speaks, outputs


def test_a_good_line_is_moved_to_500_000_after_20_pings_and_nothing_is_lost():
    probe = RatedProbe()
    rate, outputs = begun(probe)
    assert rate == FAST
    assert probe.heard[:22] == [Commands.IDENTIFY, Commands.BAUD, *20 * [Commands.PING]]
    assert probe.level_rate_hz == LEVEL_RATE_HZ
    assert not [output for output in outputs if isinstance(output, Gap)]


BAD_LINES = {
    "the board does not offer it": {"refuses": (FAST,)},
    "nothing arrives at the board": {"deaf_at": (FAST,)},
    "nothing arrives from the board": {"mute_at": (FAST,)},
    "nothing arrives at all": {"deaf_at": (FAST,), "mute_at": (FAST,)},
    "every fourth answer is spoilt": {"lossy": {FAST: 0.25}},
}


@pytest.mark.parametrize("kind", BAD_LINES)
def test_a_line_that_does_not_hold_500_000_is_moved_to_250_000(kind):
    rate, outputs = begun(RatedProbe(**BAD_LINES[kind]))
    assert rate == MIDDLE
    assert [type(output) for output in outputs].count(StretchOpened) == 1


def test_a_line_that_holds_neither_stays_and_the_level_rate_is_lowered():
    probe = RatedProbe(deaf_at=(FAST,), mute_at=(MIDDLE,))
    rate, outputs = begun(probe)
    assert rate == START
    assert probe.level_rate_hz == SLOW_LEVEL_RATE_HZ < LEVEL_RATE_HZ
    assert not [output for output in outputs if isinstance(output, Gap)]


def test_a_port_that_refuses_the_rates_stays_where_it_is(monkeypatch):
    monkeypatch.setattr("benchapp.probe.backends.serial_port.SerialLink.set_rate", lambda _link, rate: rate == START)
    probe = RatedProbe()
    assert begun(probe)[0] == START


def test_a_probe_that_cannot_be_found_again_is_said_to_be_lost(monkeypatch):
    monkeypatch.setattr(speed, "REVERTS_NS", 150_000_000)

    class Lost(RatedProbe):
        def _sent(self, data: bytes) -> bytes:
            self.gone = getattr(self, "gone", False) or self.speaks != START
            return b"" if self.gone else super()._sent(data)

    with talking(Lost()) as conversation, pytest.raises(ProbeTrouble, match=r"was lost while its speed .* Unplug it"):
        conversation.begin()


def test_a_board_that_opening_did_not_reset_is_found_at_the_rate_it_was_left_at():
    probe = RatedProbe(speaks=FAST)
    with peer(probe.hear, probe.play) as far:
        probe.host_rate = far.rate
        assert greet(far.port).serial == "T-1"
    rate, _ = begun(RatedProbe(speaks=MIDDLE))
    assert rate == FAST


def test_a_probe_that_was_reset_is_heard_again_at_its_first_rate_and_moved_again():
    probe = RatedProbe()
    with talking(probe) as conversation:
        outputs = conversation.begin()
        outputs += read_until(conversation, lambda seen: len(edge_times(seen)) >= 10)
        probe.reset_to = 0xBEEF
        outputs += read_until(conversation, lambda seen: any(isinstance(o, StretchOpened) for o in seen), 10.0)
        outputs += read_until(conversation, lambda seen: len(edge_times(seen)) >= 10)
        assert conversation.link.rate == probe.speaks == FAST
    first, second = [output.stretch for output in outputs if isinstance(output, StretchOpened)]
    assert (first.number, second.number) == (1, 2)
    assert second.board.start_id == 0xBEEF
    times = edge_times(outputs)
    assert times == sorted(times)
    assert times[-1] > second.origin_ns
