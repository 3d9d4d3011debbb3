"""Installing the probe program: what is checked before a port is touched, and how a board is after each ending."""

import hashlib
import os
import random

import pytest

from benchapp.assets import resource
from benchapp.desk import probe_program
from benchapp.desk.probe_install import install_probe, takes_program
from benchapp.desk.probe_program import read_program
from benchapp.desk.seen_ports import is_seen
from benchapp.probe.opening import open_link
from benchapp.records.errors import (
    BenchError,
    NoBootLoader,
    NoProbeProgram,
    PortBusy,
    PortGone,
    ProbeTrouble,
    StoppedByHand,
    WrongCall,
    WrongChip,
    WrongInput,
)
from benchapp.records.probe_install import InstallStep
from tests.probe.boot_model import BootModel, intel_hex
from tests.probe.pty_peer import LiveProbe, peer

PROGRAM = random.Random(3).randbytes(700)


class BoardModel:
    """A board with a boot loader; what runs after it, if anything does, is a scripted probe."""

    def __init__(self, *, probe: LiveProbe | None = None, **boot) -> None:
        self.boot = BootModel(**boot)
        self._probe = probe

    def hear(self, data: bytes) -> bytes:
        if not self.boot.running:
            return self.boot.hear(data)
        return self._probe.hear(data) if self._probe else b""


@pytest.fixture
def hex_file(tmp_path):
    file = tmp_path / "mine.hex"
    file.write_bytes(intel_hex(PROGRAM))
    return file


@pytest.fixture
def seen(tmp_path):
    return tmp_path / "seen.json"


def test_a_program_is_written_verified_and_greeted_and_the_port_remembered(hex_file, seen):
    board, told = BoardModel(probe=LiveProbe()), []
    with peer(board.hear) as far:
        assert not is_seen(far.port, seen)
        installed = install_probe(far.port, hex_file=hex_file, tell=told.append, seen_file=seen)
        assert is_seen(far.port, seen)
    assert board.boot.flash[: len(PROGRAM)] == PROGRAM
    assert (installed.size_bytes, installed.board.serial) == (700, "T-1")
    assert installed.sha256 == hashlib.sha256(hex_file.read_bytes()).hexdigest()
    assert told[-1].step is InstallStep.GREET


def test_the_shipped_program_is_what_is_installed_without_a_file(seen):
    board = BoardModel(probe=LiveProbe())
    with peer(board.hear) as far:
        installed = install_probe(far.port, seen_file=seen)
    stated = resource("probe/probe.hex.sha256").read_text().split()[0]
    assert installed.sha256 == stated
    assert board.boot.flash[: installed.size_bytes] == read_program().program


def test_a_shipped_program_that_was_damaged_is_refused_before_the_port_is_touched(tmp_path, monkeypatch):
    for name in ("probe.hex", "probe.hex.sha256"):
        (tmp_path / name).write_bytes(resource(f"probe/{name}").read_bytes())
    with (tmp_path / "probe.hex").open("ab") as file:
        file.write(b"\n")
    monkeypatch.setattr(probe_program, "resource", lambda name: tmp_path / name.split("/")[1])
    with pytest.raises(WrongInput, match=r"is damaged: .*does not match its checksum\. Install this program again"):
        install_probe("/dev/no-such-port")


@pytest.mark.parametrize("text", [b"", b"MZ\x90\0" * 50, b"\x7fELF", intel_hex(PROGRAM)[:-20]])
def test_a_wrong_file_is_refused_before_the_port_is_touched(tmp_path, text):
    file = tmp_path / "wrong.hex"
    file.write_bytes(text)
    with pytest.raises(WrongInput, match=r"'wrong\.hex' is no whole probe program: line \d+") as refused:
        install_probe("/dev/no-such-port", hex_file=file)
    assert refused.value.kept == "Nothing was sent to the board."


def test_a_file_that_is_not_there_or_is_a_folder_is_refused(tmp_path):
    with pytest.raises(WrongInput, match="There is no file"):
        install_probe("/dev/no-such-port", hex_file=tmp_path / "none.hex")
    with pytest.raises(WrongInput, match="is a folder"):
        install_probe("/dev/no-such-port", hex_file=tmp_path)


@pytest.mark.parametrize("name", ["practice://alder", "", "/dev/null/x", os.devnull])
def test_what_is_no_port_is_refused_by_name(name, hex_file):
    with pytest.raises(BenchError) as refused:
        install_probe(name, hex_file=hex_file)
    assert isinstance(refused.value, WrongCall | ProbeTrouble)


def test_a_port_that_went_between_listing_and_opening_is_gone(hex_file):
    with peer(lambda _data: b"") as far:
        name = far.port
    with pytest.raises(PortGone, match="There is no port"):
        install_probe(name, hex_file=hex_file)


def test_a_port_another_program_holds_is_busy(hex_file):
    with peer(lambda _data: b"") as far:
        holder = open_link(far.port)
        with pytest.raises(PortBusy):
            install_probe(far.port, hex_file=hex_file)
        holder.close()


def test_another_chip_is_refused_and_the_port_is_free_again(hex_file, seen):
    board = BoardModel(signature=b"\x1e\x98\x01")
    with peer(board.hear) as far:
        for _ in range(2):
            board.boot.running = False
            with pytest.raises(WrongChip, match="1E 98 01, an ATmega2560"):
                install_probe(far.port, hex_file=hex_file, seen_file=seen)
        assert not is_seen(far.port, seen)


def test_a_program_that_does_not_greet_is_said_to_be_whole(hex_file, seen, monkeypatch):
    monkeypatch.setattr("benchapp.desk.probe_install.PATIENCE_NS", 200_000_000)
    board = BoardModel()
    with peer(board.hear) as far:
        with pytest.raises(NoProbeProgram) as silent:
            install_probe(far.port, hex_file=hex_file, seen_file=seen)
        assert not is_seen(far.port, seen)
    assert silent.value.kept == "The program was written and read back alike."


def test_a_probe_that_runs_and_hears_the_questions_of_an_uploader_is_no_boot_loader(hex_file, monkeypatch):
    monkeypatch.setattr("benchapp.probe.boot_loader.SYNC_S", 0.03)
    probe = LiveProbe()
    with peer(probe.hear, probe.play) as far, pytest.raises(NoBootLoader, match="bytes came, none of which"):
        install_probe(far.port, hex_file=hex_file)
    assert probe.heard == []  # what it heard was no frame to it


def test_stopping_frees_the_port(hex_file):
    board = BoardModel()
    with peer(board.hear) as far:
        with pytest.raises(StoppedByHand):
            install_probe(far.port, hex_file=hex_file, stop=lambda: True)
        with pytest.raises(StoppedByHand):
            install_probe(far.port, hex_file=hex_file, stop=lambda: True)


def test_a_board_that_takes_the_program_is_told_from_silence_and_another_chip_and_left_running():
    board = BoardModel()
    with peer(board.hear) as far:
        assert takes_program(far.port)
    assert board.boot.running
    assert not board.boot.writes
    with peer(lambda _data: b"") as far:
        assert not takes_program(far.port)
    with peer(BoardModel(signature=b"\x1e\x95\x14").hear) as far, pytest.raises(WrongChip):
        takes_program(far.port)
