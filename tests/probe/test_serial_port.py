"""The serial port on real pseudo-terminals: what each fault is called and what to do about it."""

import errno
import os
import re
import time

import pytest
import serial
from serial.tools.list_ports_common import ListPortInfo

from benchapp.probe.backends import port_faults, port_list
from benchapp.probe.backends.permission import RULE_FILE, rule_text
from benchapp.probe.backends.serial_port import SerialLink
from benchapp.probe.conversation import Conversation
from benchapp.probe.framing import FrameSplitter
from benchapp.probe.greeting import greet
from benchapp.probe.opening import greet as greet_port
from benchapp.probe.opening import list_ports, open_link
from benchapp.probe.timebase import ClockPairs, StretchOpened
from benchapp.probe.wire import Commands, Decoder, unpack_command
from benchapp.records.errors import (
    NoProbeProgram,
    NotOurProbe,
    OldProbeProgram,
    OtherProbe,
    PortBusy,
    PortGone,
    PortNotAllowed,
    ProbeTrouble,
    WrongCall,
)
from benchapp.records.stream import Edges, Gap
from tests.probe.pty_peer import LiveProbe, peer

SHORT_NS = 150_000_000


def deaf(_data: bytes) -> bytes:
    return b""


def read_until(conversation: Conversation, enough, within_s: float = 5.0) -> list:
    outputs: list = []
    end_s = time.monotonic() + within_s
    while not enough(outputs):
        assert time.monotonic() < end_s, "nothing of the kind came in time"
        outputs += conversation.read()
    return outputs


def read_on(conversation: Conversation, outputs: list) -> None:
    """Read until a fault; what came before it is in outputs."""
    end_s = time.monotonic() + 5.0
    while time.monotonic() < end_s:
        outputs += conversation.read()


def edge_times(outputs: list) -> list[int]:
    return [int(t) for output in outputs if isinstance(output, Edges) for t in output.times_ns]


def test_a_second_opening_of_one_port_is_told_that_it_is_in_use():
    with peer(deaf) as far:
        link = open_link(far.port)
        with pytest.raises(PortBusy, match=re.escape(far.port) + r" is in use.*Close that program.*practice bench"):
            open_link(far.port)
        link.close()
        open_link(far.port).close()


def test_a_port_that_is_not_there_is_named_with_those_that_are(tmp_path, monkeypatch):
    facts = ListPortInfo("/dev/ttyFAR0")
    monkeypatch.setattr(port_list, "comports", lambda: [facts])
    with pytest.raises(PortGone, match=r"There is no port .*nowhere.*Ports here: /dev/ttyFAR0\."):
        open_link(str(tmp_path / "nowhere"))


def test_without_any_port_the_person_is_told_to_plug_the_probe_in(tmp_path, monkeypatch):
    monkeypatch.setattr(port_list, "comports", list)
    with pytest.raises(PortGone, match="No serial port is here: plug the probe in"):
        open_link(str(tmp_path / "nowhere"))


def test_a_file_or_a_folder_is_a_wrong_call_and_stays_as_it_was(tmp_path):
    file = tmp_path / "notes.txt"
    file.write_bytes(b"notes")
    for path in (file, tmp_path):
        with pytest.raises(WrongCall, match="is a file or a folder"):
            open_link(str(path))
    assert file.read_bytes() == b"notes"


def test_a_device_that_is_no_serial_port_is_as_much_a_trouble_with_the_probe_as_a_port_that_is_not_there():
    with pytest.raises(NotOurProbe, match="/dev/null cannot be used as a serial port") as refused:
        open_link("/dev/null")
    with pytest.raises(PortGone) as missing:
        open_link("/dev/ttyNotThere")
    assert refused.value.status == missing.value.status == 3
    assert refused.value.kept == "Nothing was sent to it."


def refuse(number: int):
    def opened(*_arguments, **_options):
        raise serial.SerialException(number, f"could not open port: {os.strerror(number)}")

    return opened


@pytest.mark.parametrize("number", [errno.EACCES, errno.EPERM])
def test_a_port_that_may_not_be_opened_comes_with_the_rule_and_the_group(monkeypatch, number):
    monkeypatch.setattr(serial, "Serial", refuse(number))
    usb = ListPortInfo("/dev/ttyUSB7")
    usb.vid, usb.pid = 0x1234, 0x00AB
    monkeypatch.setattr(port_list, "comports", lambda: [usb])
    monkeypatch.setattr(port_faults, "group_of", lambda _name: "dialout")
    monkeypatch.setattr(port_faults, "helping_group", lambda _name, group: group)  # there is no such port here to ask
    with pytest.raises(PortNotAllowed) as refused:
        SerialLink("/dev/ttyUSB7")
    assert "This user may not open /dev/ttyUSB7" in refused.value.message
    assert RULE_FILE in refused.value.message
    assert rule_text("1234:00ab") in refused.value.message
    assert "sudo usermod -aG dialout $USER" in refused.value.message
    assert refused.value.status == 3


def test_a_port_without_usb_facts_is_told_of_no_rule_and_nobody_is_sent_into_the_group_root(monkeypatch):
    monkeypatch.setattr(serial, "Serial", refuse(errno.EACCES))
    monkeypatch.setattr(port_list, "comports", list)
    with pytest.raises(PortNotAllowed) as refused:
        SerialLink("/dev/null")
    assert "rules.d" not in refused.value.message
    assert "usermod" not in refused.value.message
    assert "Ask whoever looks after this computer" in refused.value.message


def test_the_rule_opens_the_port_to_its_user_and_keeps_modem_services_off():
    text = rule_text("1a2b:00ff")
    assert 'ATTRS{idVendor}=="1a2b", ATTRS{idProduct}=="00ff"' in text
    assert 'TAG+="uaccess"' in text
    assert 'ENV{ID_MM_DEVICE_IGNORE}="1"' in text
    # rules are read in order of name, and uaccess is acted on by the system's own 73-seat-late.rules
    assert "/etc/udev/rules.d/" < RULE_FILE < "/etc/udev/rules.d/73-seat-late.rules"


@pytest.mark.parametrize(
    ("url", "why"),
    [("", "was expected, got ''"), ("socket://1.2.3.4:5", "was expected, got 'socket"), ("\0", "cannot be used")],
)
def test_a_url_nothing_can_open_is_a_wrong_call(url, why):
    with pytest.raises(WrongCall, match=why):
        open_link(url)


def test_truth_is_asked_of_the_practice_bench_only(tmp_path):
    with pytest.raises(WrongCall, match="Only the practice bench knows the truth"):
        open_link("/dev/ttyUSB0", truth=tmp_path / "truth.json")


def test_ports_are_listed_by_name_and_a_probe_that_says_so_is_known(monkeypatch):
    plain, ours = ListPortInfo("/dev/ttyUSB1"), ListPortInfo("/dev/ttyACM0")
    ours.vid, ours.pid, ours.serial_number, ours.product = 0xCAFE, 0x12, "S-1", port_list.PRODUCT
    ours.description = "a probe"
    monkeypatch.setattr(port_list, "comports", lambda: [plain, ours])
    first, second = list_ports()
    assert (first.name, first.words, first.serial_number, first.usb_id, first.known) == (
        "/dev/ttyACM0", "a probe", "S-1", "cafe:0012", True,
    )  # fmt: skip
    assert (second.name, second.words, second.known) == ("/dev/ttyUSB1", "", False)


STRANGERS = {
    "modem text": lambda data: b"\r\nERROR\r\nOK\r\n" if data else b"",
    "binary noise": lambda data: bytes((n * 73 + 11) % 256 for n in range(400)),
    "zeros": lambda data: bytes(500),
    "silence": deaf,
    "an endless line": lambda data: b"U" * 3000,
    "an echo": lambda data: data,
}


@pytest.mark.parametrize("kind", STRANGERS)
def test_a_stranger_is_sent_identify_three_times_and_nothing_else(kind):
    with peer(STRANGERS[kind]) as far:
        with pytest.raises(NotOurProbe, match=r"No probe answers on .*descriptor was expected within 0\.15 s"):
            greet_port(far.port, patience_ns=SHORT_NS)
        heard = far.heard
    bodies = FrameSplitter().feed(heard)
    commands = [unpack_command(body[2:]).command for body in bodies]
    assert 1 <= len(commands) <= 3
    assert set(commands) == {Commands.IDENTIFY}
    assert heard.endswith(b"\0")


def test_what_a_stranger_said_is_quoted_in_part():
    with peer(lambda data: b"\r\nlogin: " + b"x" * 500) as far, pytest.raises(NotOurProbe) as refused:
        greet_port(far.port, patience_ns=SHORT_NS)
    assert "(they begin '\\r\\nlogin: xxx" in refused.value.message
    assert len(refused.value.message) < 400


def test_a_probe_that_is_slow_to_wake_is_waited_for():
    probe = LiveProbe()
    awake_s = time.monotonic() + 0.3
    with peer(lambda data: probe.hear(data) if time.monotonic() > awake_s else b"") as far:
        assert greet_port(far.port, patience_ns=10**9).start_id == probe.start_id


def test_a_descriptor_that_comes_unasked_is_enough():
    probe = LiveProbe()
    with peer(lambda data: probe.reset(42)) as far:
        link = open_link(far.port)
        messages = greet(link, Decoder(), patience_ns=10**9)
        link.close()
    assert messages[0].board.start_id == 42


def test_a_newer_wire_format_is_named():
    probe = LiveProbe()
    probe.wire_version = 2
    with (
        peer(probe.hear) as far,
        pytest.raises(ProbeTrouble, match=r"speaks wire format 2; .* knows format 1\. Update"),
    ):
        greet_port(far.port)


def test_an_older_wire_format_is_an_old_program_to_be_updated():
    probe = LiveProbe()
    probe.wire_version = 0
    with peer(probe.hear) as far, pytest.raises(OldProbeProgram, match=r"wire format 0; .* Put the probe program that"):
        greet_port(far.port)


def test_silence_may_be_a_board_without_the_program_and_noise_is_something_else():
    with peer(deaf) as far, pytest.raises(NoProbeProgram, match=r"nothing came\. .*benchapp probe install --port /dev"):
        greet_port(far.port, patience_ns=SHORT_NS)
    with peer(STRANGERS["modem text"]) as far, pytest.raises(NotOurProbe) as other:
        greet_port(far.port, patience_ns=SHORT_NS)
    assert not isinstance(other.value, NoProbeProgram)


def test_a_probe_is_greeted_started_and_read():
    probe = LiveProbe()
    with peer(probe.hear, probe.play) as far:
        conversation = Conversation(open_link(far.port))
        outputs = conversation.begin()
        assert conversation.stretch.origin_ns == 0
        outputs += read_until(conversation, lambda seen: sum(isinstance(o, ClockPairs) for o in seen) >= 3)
        conversation.close()
    assert (probe.heard[0], probe.heard[-2:]) == (Commands.IDENTIFY, [Commands.START, Commands.STOP])
    times = edge_times(outputs)
    assert len(times) > 20
    assert times == sorted(times)
    assert not [output for output in outputs if isinstance(output, Gap)]


def test_a_start_that_gets_no_reply_is_repeated_with_the_same_token_and_then_given_up(monkeypatch):
    monkeypatch.setattr("benchapp.probe.conversation._RETRY_NS", 30_000_000)
    probe = LiveProbe()
    probe.deaf_to = {Commands.START}
    with peer(probe.hear, probe.play) as far:
        conversation = Conversation(open_link(far.port))
        with pytest.raises(ProbeTrouble, match="says what it is but does not start"):
            conversation.begin()
        conversation.close()
        heard = far.heard
    bodies = [body for body in FrameSplitter().feed(heard) if isinstance(body, bytes)]
    starts = [unpack_command(body[2:]) for body in bodies if body[2] == Commands.START]
    assert len(starts) == 4
    assert len({command.token for command in starts}) == 1


def test_pulling_the_plug_raises_port_gone_after_all_that_came_before():
    probe = LiveProbe()
    with peer(probe.hear, probe.play) as far:
        conversation = Conversation(open_link(far.port))
        conversation.begin()
        before = read_until(conversation, lambda seen: len(edge_times(seen)) >= 5)
        far.unplug()
        with pytest.raises(PortGone, match=r"went away: .*Plug it in again"):
            read_on(conversation, before)
        with pytest.raises(PortGone):
            conversation.link.write(b"\0")
        last_ns = conversation.timebase.last_ns
        conversation.link.close()
    times = edge_times(before)
    assert times == sorted(times)
    assert times[-1] <= last_ns
    again = LiveProbe()
    with peer(again.hear, again.play) as far:
        outputs = conversation.reconnect(open_link(far.port))
        outputs += read_until(conversation, edge_times)
        conversation.close()
    gap, opened = [output for output in outputs if isinstance(output, Gap | StretchOpened)]
    assert (gap.from_ns, gap.to_ns) == (last_ns, opened.stretch.origin_ns)
    assert opened.stretch.number == 2
    assert min(edge_times(outputs)) >= opened.stretch.origin_ns >= last_ns


def test_another_probe_than_the_one_that_was_lost_is_refused_by_its_serial_number():
    probe = LiveProbe()
    with peer(probe.hear, probe.play) as far:
        conversation = Conversation(open_link(far.port))
        conversation.begin()
        conversation.link.close()
    other = LiveProbe()
    other.serial = "T-2"
    with peer(other.hear, other.play) as far:
        with pytest.raises(OtherProbe, match=r"its serial number is T-2, the one that was lost has T-1\. Plug that"):
            conversation.reconnect(open_link(far.port))
        conversation.close()


def test_a_reset_keeps_what_came_and_opens_a_new_stretch_by_itself():
    probe = LiveProbe(start_id=0x11)
    with peer(probe.hear, probe.play) as far:
        conversation = Conversation(open_link(far.port))
        outputs = conversation.begin()
        outputs += read_until(conversation, lambda seen: len(edge_times(seen)) >= 10)
        probe.reset_to = 0x22
        outputs += read_until(conversation, lambda seen: any(isinstance(o, StretchOpened) for o in seen))
        outputs += read_until(conversation, lambda seen: len(edge_times(seen)) >= 10)
        conversation.close()
    stretches = [output.stretch for output in outputs if isinstance(output, StretchOpened)]
    assert [stretch.number for stretch in stretches] == [1, 2]
    assert [stretch.board.start_id for stretch in stretches] == [0x11, 0x22]
    times = edge_times(outputs)
    assert len(times) >= 20
    assert times == sorted(times)
    (gap,) = [output for output in outputs if isinstance(output, Gap) and output.cause == "restart"]
    assert gap.to_ns == stretches[1].origin_ns
    # the host clock placed it: no further on than the reset took
    assert 0 <= gap.to_ns - gap.from_ns < 2_000_000_000


def test_a_driven_lead_is_kept_alive_by_pings_and_only_then(monkeypatch):
    monkeypatch.setattr("benchapp.probe.conversation._PING_NS", 20_000_000)
    probe = LiveProbe()
    with peer(probe.hear, probe.play) as far:
        conversation = Conversation(open_link(far.port))
        conversation.begin()
        read_until(conversation, lambda seen: len(edge_times(seen)) >= 20)
        assert Commands.PING not in probe.heard[probe.heard.index(Commands.START) :]
        token = conversation.send(Commands.DRIVE, lead=12, level=1)
        answers = read_until(conversation, lambda seen: len(edge_times(seen)) >= 20)
        assert token in [getattr(output, "token", None) for output in answers]
        assert probe.heard[probe.heard.index(Commands.DRIVE) :].count(Commands.PING) >= 2
        conversation.close()
    assert probe.heard[-1] is Commands.STOP


class FaultyPort:
    """What pyserial's own port was seen to raise when a device vanishes or is closed beneath it."""

    def __init__(self, fault: Exception) -> None:
        self.fault = fault

    def read(self, _size: int) -> bytes:
        raise self.fault

    def write(self, _data: bytes) -> int:
        raise self.fault

    def close(self) -> None:
        raise self.fault


@pytest.mark.parametrize(
    "fault",
    [
        serial.SerialException("device reports readiness to read but returned no data"),
        serial.SerialException("write failed: [Errno 5] Input/output error"),
        OSError(errno.EIO, "Input/output error"),
        TypeError("'NoneType' object cannot be interpreted as an integer"),
        serial.PortNotOpenError(),
    ],
)
def test_every_way_in_which_a_port_vanishes_is_port_gone_and_closing_is_quiet(monkeypatch, fault):
    monkeypatch.setattr(serial, "Serial", lambda *_arguments, **_options: FaultyPort(fault))
    link = SerialLink("/dev/null")
    with pytest.raises(PortGone, match="stopped answering"):
        link.read()
    with pytest.raises(PortGone, match="stopped answering"):
        link.write(b"x")
    link.close()


def test_a_port_that_takes_nothing_is_port_gone(monkeypatch):
    monkeypatch.setattr(serial, "Serial", lambda *_a, **_o: FaultyPort(serial.SerialTimeoutException("Write timeout")))
    with pytest.raises(PortGone, match="takes no data: 3 bytes waited 1 s"):
        SerialLink("/dev/null").write(b"abc")
