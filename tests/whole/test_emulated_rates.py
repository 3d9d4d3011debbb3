"""The move to a faster rate on the emulated board, whose line garbles what is said at another rate."""

import pytest

from benchapp.probe.conversation import Conversation
from benchapp.probe.opening import open_link
from benchapp.probe.timebase import StretchOpened
from benchapp.records.stream import Edges, Gap
from tests.emulator import build
from tests.emulator.bench import ProbeBench
from tests.probe.test_serial_port import read_until


@pytest.fixture(autouse=True)
def tools() -> None:
    build.need_tools()


def edges(outputs: list) -> int:
    return sum(output.count for output in outputs if isinstance(output, Edges))


@pytest.mark.parametrize("offered", [(500_000, 250_000), (250_000,), ()])
def test_the_talk_is_moved_and_every_record_arrives(monkeypatch, offered):
    monkeypatch.setattr("benchapp.probe.speed.RATES", offered)
    with ProbeBench(flips_ms=(3000, 300, 20)) as bench:
        conversation = Conversation(open_link(bench.port))
        outputs = conversation.begin()
        outputs += read_until(conversation, lambda seen: edges(seen) >= 150)
        assert conversation.link.rate == (*offered, 115_200)[0]
        conversation.close()
    assert sum(isinstance(output, StretchOpened) for output in outputs) == 1
    assert not [output for output in outputs if isinstance(output, Gap)]


def boards(outputs):
    """Return the board of every stretch: on a busy computer the same one may open a second."""
    return [output.stretch.board for output in outputs if isinstance(output, StretchOpened)]


def test_a_board_that_resets_is_heard_again_and_moved_again():
    with ProbeBench() as bench:
        conversation = Conversation(open_link(bench.port))
        outputs = conversation.begin()
        outputs += read_until(conversation, lambda seen: edges(seen) >= 20)
        before = {board.start_id for board in boards(outputs)}
        bench.reset()
        outputs += read_until(conversation, lambda seen: {b.start_id for b in boards(seen)} - before != set(), 8.0)
        outputs += read_until(conversation, lambda seen: edges(seen) >= 20)
        assert conversation.link.rate == 500_000
        conversation.close()
    assert len({board.start_id for board in boards(outputs)}) == 2
    assert len({board.serial for board in boards(outputs)}) == 1
