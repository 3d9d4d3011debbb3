"""`benchapp probe`: what it asks, what it says and with which status it ends."""

import io

import pytest

from benchapp.probe.backends.port_list import PortFacts
from tests.desk.test_probe_install import PROGRAM, BoardModel
from tests.probe.boot_model import intel_hex
from tests.probe.jumpered_probe import JumperedProbe, VirtualLink
from tests.probe.pty_peer import LiveProbe, peer


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.fixture(autouse=True)
def nothing_remembered(monkeypatch, tmp_path):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))


@pytest.fixture
def hex_file(tmp_path):
    file = tmp_path / "mine.hex"
    file.write_bytes(intel_hex(PROGRAM))
    return file


def test_installing_says_what_was_written_and_that_it_runs(call, hex_file):
    board = BoardModel(probe=LiveProbe())
    with peer(board.hear) as far:
        called = call("probe", "install", "--port", far.port, "--hex", hex_file, "--yes")
    assert (called.status, called.err) == (0, "")
    assert "700 bytes written and read back alike. It answers as a probe, serial T-1." in called.out


def test_a_port_never_seen_is_not_touched_without_a_yes(call, hex_file, monkeypatch):
    board = BoardModel()
    with peer(board.hear) as far:
        called = call("probe", "install", "--port", far.port, "--hex", hex_file)
        assert called.status == 2
        assert "no terminal to ask at" in called.err
        assert "call again with --yes" in called.err
        monkeypatch.setattr("sys.stdin", Terminal("what?\nno\n"))
        called = call("probe", "install", "--port", far.port, "--hex", hex_file)
        assert called.status == 2
        assert called.err.count("No probe has been seen on") == 2
        assert "nothing was opened or sent" in called.err
        assert far.heard == b""


def test_a_yes_at_the_terminal_goes_on_and_the_next_time_nobody_is_asked(call, hex_file, monkeypatch):
    board = BoardModel(probe=LiveProbe())
    with peer(board.hear) as far:
        monkeypatch.setattr("sys.stdin", Terminal("yes\n"))
        assert call("probe", "install", "--port", far.port, "--hex", hex_file).status == 0
        board.boot.running = False
        monkeypatch.setattr("sys.stdin", Terminal(""))
        assert call("probe", "install", "--port", far.port, "--hex", hex_file).status == 0


@pytest.mark.parametrize(
    ("words", "status", "said"),
    [
        (("probe",), 2, "WISH"),
        (("probe", "install"), 2, "--port"),
        (("probe", "instal", "--port", "x"), 2, "invalid choice"),
        (("probe", "install", "--port", "/dev/no-such-port", "--yes"), 3, "There is no port /dev/no-such-port"),
        (("probe", "install", "--port", "practice://alder", "--yes"), 2, "A serial port's name was expected"),
        (("probe", "install", "--port", "x", "--hex", "none.hex"), 2, "There is no file 'none.hex'"),
    ],
)
def test_a_wrong_call_and_a_missing_port_get_one_line_and_their_status(call, words, status, said):
    called = call(*words)
    assert called.status == status
    assert said in called.err
    assert len(called.err.splitlines()) == 1


def test_another_chip_ends_with_3_and_says_what_the_board_is(call, hex_file):
    board = BoardModel(signature=b"\x1e\x95\x14")
    with peer(board.hear) as far:
        called = call("probe", "install", "--port", far.port, "--hex", hex_file, "--yes")
    assert called.status == 3
    assert "1E 95 14, an ATmega328." in called.err
    assert "The board was not changed." in called.err


def test_a_board_without_the_program_is_told_how_to_get_it(call, monkeypatch):
    with peer(lambda _data: b"") as far:
        silent = PortFacts(name=far.port, words="a bridge", serial_number=None, usb_id=None, known=False)
        monkeypatch.setattr("benchapp.desk.ports.list_ports", lambda: [silent])
        called = call("ports", "--greet")
    assert called.status == 0
    assert f"benchapp probe install --port {far.port}" in called.out


def test_the_self_test_tells_what_to_do_what_it_found_and_that_it_is_kept(call, monkeypatch):
    probe = JumperedProbe(
        wired=lambda ms: (0,) if ms < 9000 else (1,), late=lambda lead, draw: draw.randrange(14) * lead
    )
    monkeypatch.setattr("benchapp.desk.self_test.open_link", lambda _port: VirtualLink(probe))
    called = call("probe", "test", "--port", "a port", "--yes")
    assert called.status == 0
    output, switch, kept = called.out.splitlines()
    assert output.startswith("D8: 120 edges, none lost; stamped 0.00 µs late")
    assert switch.startswith("D2: 120 edges, none lost")
    assert "serial number T-1" in kept
    assert [line.partition("one of ")[2].partition(";")[0] for line in called.err.splitlines()] == ["D8, D2", "D2"]


@pytest.mark.parametrize("typed", [None, "no\n"])
def test_a_probe_that_is_known_is_asked_about_too_before_its_flip_lead_moves(call, monkeypatch, typed):
    opened = []
    monkeypatch.setattr("benchapp.desk.self_test.open_link", opened.append)
    monkeypatch.setattr("benchapp.cli.probe_command.is_seen", lambda _port: True)
    if typed is not None:
        monkeypatch.setattr("sys.stdin", Terminal(typed))
    called = call("probe", "test", "--port", "a port")
    assert called.status == 2
    assert "moves the flip lead of the probe on a port" in called.err
    assert opened == []


def test_the_clock_check_says_the_error_with_its_uncertainty(call):
    called = call("probe", "clock", "--port", "practice://alder?clock_ppm=500", "--seconds", "20")
    assert (called.status, called.err) == (0, "")
    assert called.out.startswith("The probe's clock is 500 ± 40 ppm (millionths) fast beside this computer's")
    assert len(called.out.splitlines()) == 4
