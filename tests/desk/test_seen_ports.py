"""Which ports are opened without asking, and that what is remembered is read with suspicion."""

import json

import pytest

from benchapp.desk import seen_ports
from benchapp.desk.data_folder import data_folder
from benchapp.desk.ports import greet_port, greeted_ports, ports
from benchapp.desk.seen_ports import is_seen, port_key, remember_port
from benchapp.probe.backends.port_list import PortFacts
from benchapp.records.errors import DiskTrouble, NoProbeProgram
from tests.probe.pty_peer import LiveProbe, peer


def facts(name: str, *, serial: str | None = None, usb: str | None = "1234:00ab", known: bool = False) -> PortFacts:
    return PortFacts(name=name, words="a bridge", serial_number=serial, usb_id=usb, known=known)


@pytest.fixture
def here(monkeypatch):
    listed: list[PortFacts] = []
    monkeypatch.setattr(seen_ports, "list_ports", lambda: listed)
    monkeypatch.setattr("benchapp.desk.ports.list_ports", lambda: listed)
    return listed


@pytest.fixture
def file(tmp_path):
    return tmp_path / "new" / "seen.json"


def test_a_port_is_unseen_until_a_probe_answered_on_it(here, file):
    here += [facts("/dev/ttyUSB0", serial="S1"), facts("/dev/ttyUSB1", serial="S2")]
    assert not is_seen("/dev/ttyUSB0", file)
    remember_port("/dev/ttyUSB0", file)
    remember_port("/dev/ttyUSB0", file)
    assert is_seen("/dev/ttyUSB0", file)
    assert not is_seen("/dev/ttyUSB1", file)


def test_the_same_device_is_known_in_another_socket_by_its_serial_number(here, file):
    here.append(facts("/dev/ttyUSB0", serial="S1"))
    remember_port("/dev/ttyUSB0", file)
    here[:] = [facts("/dev/ttyUSB5", serial="S1")]
    assert is_seen("/dev/ttyUSB5", file)


def test_another_device_in_the_same_socket_is_asked_about(here, file):
    here.append(facts("/dev/ttyUSB0", serial=None))
    remember_port("/dev/ttyUSB0", file)
    here[:] = [facts("/dev/ttyUSB0", usb="9999:0001")]
    assert not is_seen("/dev/ttyUSB0", file)
    assert port_key(facts("a", serial="x")) == port_key(facts("b", serial="x")) != port_key(facts("a"))


def test_a_device_that_calls_itself_a_probe_needs_no_asking(here, file):
    here.append(facts("/dev/ttyACM0", known=True))
    assert is_seen("/dev/ttyACM0", file)


def test_the_newest_ports_are_kept_when_there_are_too_many(here, file):
    for number in range(205):
        here[:] = [facts("p", serial=f"S{number}")]
        remember_port("p", file)
    assert len(json.loads(file.read_text())["ports"]) == 200
    assert is_seen("p", file)


@pytest.mark.parametrize(
    "text",
    [
        b"",
        b"{",
        b"[]",
        b"\xff\xfe",
        b'{"format": "something else", "ports": ["usb 1234:00ab S1"]}',
        b'{"format": "benchapp seen ports 1", "ports": {"usb 1234:00ab S1": 1}}',
        b'{"format": "benchapp seen ports 1", "ports": [1, null, ["usb 1234:00ab S1"]]}',
        b"[" * 100_000,
        b" " * (2 << 20),
    ],
)
def test_a_damaged_memory_means_asking_again_and_is_mended_by_the_next_answer(here, file, text):
    here.append(facts("/dev/ttyUSB0", serial="S1"))
    file.parent.mkdir()
    file.write_bytes(text)
    assert not is_seen("/dev/ttyUSB0", file)
    remember_port("/dev/ttyUSB0", file)
    assert is_seen("/dev/ttyUSB0", file)
    assert [left.name for left in file.parent.iterdir()] == ["seen.json"]


def test_a_folder_that_cannot_be_written_is_a_disk_s_trouble(here, tmp_path):
    (tmp_path / "taken").write_text("")
    with pytest.raises(DiskTrouble):
        remember_port("/dev/ttyUSB0", tmp_path / "taken" / "seen.json")


def test_a_greeted_probe_is_remembered_and_greeted_from_then_on(here, file):
    probe = LiveProbe()
    with peer(probe.hear) as far:
        here.append(facts(far.port, usb=None))
        assert [(port.seen, port.board) for port in greeted_ports(everyone=False, seen_file=file)] == [(False, None)]
        assert probe.heard == []
        assert greet_port(far.port, seen_file=file).serial == "T-1"
        (port,) = greeted_ports(everyone=False, seen_file=file)
        assert (port.board.serial, port.seen) == ("T-1", True)
        assert [port.seen for port in ports(file)] == [True]


def test_a_stranger_that_was_greeted_on_request_is_still_asked_about_the_next_time(here, file, monkeypatch):
    def silent(_port):
        raise NoProbeProgram("nothing came")

    here.append(facts("/dev/ttyUSB0"))
    monkeypatch.setattr("benchapp.desk.ports.greet", silent)
    (port,) = greeted_ports(everyone=True, seen_file=file)
    assert (port.trouble_kind, port.seen) == ("NoProbeProgram", False)
    assert not file.exists()


def test_what_is_remembered_goes_to_the_system_s_folder_for_data(monkeypatch, tmp_path):
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert data_folder() == tmp_path / "benchapp"
    monkeypatch.setenv("XDG_DATA_HOME", "relative")
    monkeypatch.setenv("HOME", str(tmp_path))
    assert data_folder() == tmp_path / ".local" / "share" / "benchapp"
