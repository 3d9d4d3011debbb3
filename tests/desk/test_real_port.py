"""A run over a real pseudo-terminal, with the practice board on its far end in real time."""

import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from benchapp.acquisition.status import Status
from benchapp.desk.checking import check
from benchapp.desk.loading import load
from benchapp.desk.recording import RecordOrder, record
from benchapp.probe.opening import open_link
from benchapp.probe.practice.board import Board
from benchapp.probe.practice.url import parse_practice_url
from benchapp.procedures.gate import OnBench, needed_lines
from benchapp.records.errors import PortBusy, PortGone
from benchapp.records.run import Origin, Outcome, PickUp, RunSettings
from tests.probe.pty_peer import PtyPeer, peer


class FarBoard:
    """The practice board, moved on by the computer's clock."""

    def __init__(self, url: str) -> None:
        self._board = Board(parse_practice_url(url).options)
        self._began_ns = time.monotonic_ns()

    def play(self) -> bytes:
        return self._board.advance(max(self._board.now_ns, time.monotonic_ns() - self._began_ns))

    def hear(self, data: bytes) -> bytes:
        sent = self.play()
        self._board.receive(data)
        return sent + self.play()


@pytest.fixture
def port() -> Iterator[PtyPeer]:
    far = FarBoard("practice://alder?seed=41&dwell_s=0.8")
    with peer(far.hear, far.play) as played:
        yield played


def order(port: str, out: Path, flips: int) -> RecordOrder:
    return RecordOrder(
        probe=port,
        test="switch-flip",
        out=out,
        settings=RunSettings(flips=flips),
        on_bench=OnBench.MOTOR,
        confirmed=tuple(line.value for line in needed_lines(Origin.PROBE, OnBench.MOTOR)),
    )


def test_a_run_over_a_port_is_recorded_whole(port, tmp_path):
    recorded = record(order(port.port, tmp_path / "a.t2h", 2), lambda status: None)
    assert recorded.trouble is None
    assert recorded.run.answered == 2
    assert check(tmp_path / "a.t2h").ok
    loaded = load(tmp_path / "a.t2h")
    assert loaded.facts.origin is Origin.PROBE
    assert loaded.facts.pick_up is PickUp.UNKNOWN
    asked = needed_lines(Origin.PROBE, OnBench.MOTOR)
    assert loaded.facts.safety == (("on-bench", "motor"), *((line.value, "yes") for line in asked))
    # The board behind this port is the practice bench's, and its law is 3 to 30 ms; host time never enters.
    assert all(3 < trial.mid_ms < 30 for trial in loaded.findings.runs[0].result.trials)
    assert "probe-gap" not in loaded.findings.runs[0].flags


def test_a_pulled_plug_keeps_everything_up_to_then(port, tmp_path):
    def pull(status: Status) -> None:
        if status.run is not None and status.run.flips >= 1:
            port.unplug()

    recorded = record(order(port.port, tmp_path / "a.t2h", 50), pull)
    assert isinstance(recorded.trouble, PortGone)
    assert recorded.run.stop_reason == "probe-lost"
    assert check(tmp_path / "a.t2h").ok
    (run,) = load(tmp_path / "a.t2h").runs
    assert run.outcome is Outcome.CUT_SHORT
    assert run.leads["output"].edges.count > 50


def test_a_port_another_program_holds_is_said_to_be_in_use(port, tmp_path):
    holder = open_link(port.port)
    try:
        with pytest.raises(PortBusy):
            record(order(port.port, tmp_path / "a.t2h", 2), lambda status: None)
    finally:
        holder.close()
    assert list(tmp_path.iterdir()) == []
