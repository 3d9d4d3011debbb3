"""What computers do to serial ports: another program reads them too, the host stalls, the bus resets the device.

On pseudo-terminals. What these cannot show: what a USB bridge and its driver buffer and drop, that a device goes on
without its host, the lines that reset a board, a rate that another program sets, whether a rule keeps a service off.

Shown here, in conversation and in a whole recording on pseudo-terminals: a stall that overflows, a service that reads
bytes away or holds the port, a bus that resets. Not shown by them: what USB bridges and drivers buffer or drop, the
reset lines, a rate that another program sets, whether the rule keeps a service off.
"""

import os
import threading
from collections.abc import Iterable

import pytest

from benchapp.probe.conversation import Conversation
from benchapp.probe.opening import open_link
from benchapp.probe.timebase import ProbeState, StretchOpened
from benchapp.probe.wire import Commands, pack_command
from benchapp.records.errors import PortBusy, PortGone, ProbeTrouble
from benchapp.records.leads import Stretch
from benchapp.records.stream import Gap
from tests.probe.crowded_port import CrowdedPort, crowded, wait_until
from tests.probe.pty_peer import LiveProbe, peer
from tests.probe.scripted_probe import ScriptedProbe
from tests.probe.test_serial_port import edge_times, read_on, read_until


def place_ns(stretch: Stretch, tick: int) -> int:
    """Return where a tick of 62.5 ns lies, halves rounded up."""
    return stretch.origin_ns + ((tick - stretch.origin_tick) * 125 + 1) // 2


def catch_up(conversation: Conversation, port: CrowdedPort, outputs: list) -> None:
    """Read until a heartbeat has come that counts every edge that was sent."""
    port.quiet = True
    outputs += read_until(conversation, lambda seen: _records_sent(seen) == len(port.sent), within_s=60.0)


def _records_sent(outputs: list) -> int:
    """Return how many records the last heartbeat says were sent; -1 without one."""
    beats = [output.heartbeat for output in outputs if isinstance(output, ProbeState)]
    return beats[-1].records_sent if beats else -1


def check_nothing_is_made_up_or_bridged(conversation: Conversation, port: CrowdedPort, outputs: list) -> None:
    """Every edge told is one that was sent, and every other up to the last heard of lies in a gap."""
    assert conversation.stretch is not None
    told, gaps = set(edge_times(outputs)), [output for output in outputs if isinstance(output, Gap)]
    sent = {place_ns(conversation.stretch, tick) for tick in port.sent}
    assert told <= sent
    heard_ns = max(output.at_ns for output in outputs if isinstance(output, ProbeState))
    for missing in sent - told:
        assert missing > heard_ns or any(gap.from_ns <= missing <= gap.to_ns for gap in gaps)


def check_counts_add_up(port: CrowdedPort, outputs: list) -> None:
    """What came and what is said to be missing is what was sent."""
    counted = sum(output.count or 0 for output in outputs if isinstance(output, Gap))
    assert len(edge_times(outputs)) + counted == len(port.sent)


def test_a_host_that_stalls_misses_what_overflowed_and_knows_every_record_of_it():
    with crowded() as port:
        conversation = Conversation(open_link(port.port))
        outputs = conversation.begin()
        outputs += read_until(conversation, lambda seen: len(edge_times(seen)) >= 20)
        port.rush = True  # and nobody reads
        wait_until(lambda: len(port.refused) > 2000)
        port.rush = False
        outputs += read_until(conversation, lambda seen: len(edge_times(seen)) >= 1000)
        catch_up(conversation, port, outputs)
        check_nothing_is_made_up_or_bridged(conversation, port, outputs)
        check_counts_add_up(port, outputs)
        assert len(edge_times(outputs)) < len(port.sent)
        assert sum(isinstance(output, StretchOpened) for output in outputs) == 1
        conversation.close()


class Thief:
    """A service that opens a port it does not own, as modem services do: it asks for a modem and reads the answer."""

    def __init__(self, port: str) -> None:
        self._file = os.open(port, os.O_RDWR | os.O_NOCTTY | os.O_NONBLOCK)
        self.stolen = 0
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._read)
        self._thread.start()

    def _read(self) -> None:
        while not self._stop.wait(0.001):
            try:
                os.write(self._file, b"AT\r\n")
                self.stolen += len(os.read(self._file, 64))
            except BlockingIOError:
                continue

    def leave(self) -> None:
        self._stop.set()
        self._thread.join()
        os.close(self._file)


def test_bytes_that_another_program_reads_away_are_missed_by_name_and_never_made_up():
    with crowded() as port:
        conversation = Conversation(open_link(port.port))
        outputs = conversation.begin()
        outputs += read_until(conversation, lambda seen: len(edge_times(seen)) >= 20)
        thief, trouble = Thief(port.port), None
        try:
            while thief.stolen < 3000 and trouble is None:
                try:
                    outputs += conversation.read()
                except PortGone as gone:
                    trouble = gone
            wait_until(lambda: thief.stolen)
        finally:
            thief.leave()
        if trouble is None:
            catch_up(conversation, port, outputs)
            check_counts_add_up(port, outputs)
        else:
            assert "another program reads it too. Close other programs that use it" in trouble.message
        check_nothing_is_made_up_or_bridged(conversation, port, outputs)
        assert b"AT\r\n" in port.heard
        conversation.link.close()
        again = conversation.reconnect(open_link(port.port))
        port.quiet = False
        again += read_until(conversation, lambda seen: len(edge_times(seen)) >= 20)
        conversation.close()
    check_no_interval_spans([*outputs, *again], [conversation.stretch.origin_ns])


def test_a_service_that_has_the_port_first_is_named_and_the_port_opens_once_it_lets_go():
    probe = LiveProbe()
    with peer(probe.hear, probe.play) as far:
        service = open_link(far.port)
        with pytest.raises(PortBusy, match="a modem service"):
            open_link(far.port)
        service.write(b"AT\r\nATI\r\n")  # what it asked of the board before it went
        service.close()
        conversation = Conversation(open_link(far.port))
        outputs = conversation.begin()
        outputs += read_until(conversation, edge_times)
        conversation.close()
    assert not [output for output in outputs if isinstance(output, Gap) and output.count]


@pytest.mark.parametrize("kept_power", [True, False])
def test_a_bus_that_resets_its_devices_again_and_again_costs_stretches_and_no_record_before(kept_power):
    probe, outputs, ids = ScriptedProbe(start_id=1), [], []
    conversation: Conversation | None = None
    for turn in range(4):
        if not kept_power:
            probe.reset(start_id=turn + 1)
        with crowded(probe) as port:  # every time under another name
            link = open_link(port.port)
            if conversation is None:
                conversation = Conversation(link)
                outputs += conversation.begin()
            else:
                outputs += conversation.reconnect(link)
            outputs += read_until(conversation, lambda seen: len(edge_times(seen)) >= 10)
            ids.append(conversation.stretch.board.start_id)
            port.unplug()
            with pytest.raises(PortGone):
                read_on(conversation, outputs)
            conversation.link.close()
    assert ids == ([1] * 4 if kept_power else [1, 2, 3, 4])
    opened = [output.stretch for output in outputs if isinstance(output, StretchOpened)]
    assert [stretch.number for stretch in opened] == [1, 2, 3, 4]
    check_no_interval_spans(outputs, [stretch.origin_ns for stretch in opened[1:]])


def check_no_interval_spans(outputs: Iterable[object], borders_ns: list[int]) -> None:
    """No time runs back, and between two edges on either side of a border there is a gap."""
    outputs = list(outputs)
    times, gaps = edge_times(outputs), [output for output in outputs if isinstance(output, Gap)]
    assert times == sorted(times)
    for border in borders_ns:
        before, after = max(t for t in times if t < border), min(t for t in times if t >= border)
        assert any(gap.from_ns >= before and gap.to_ns <= after and gap.cause == "restart" for gap in gaps)


@pytest.mark.parametrize("after_bytes", [1, 60, 200, 330])
def test_a_bus_reset_in_the_middle_of_the_greeting_is_a_port_that_went_away(after_bytes):
    """The next try greets from the beginning: no half of an old descriptor is left."""
    probe = ScriptedProbe()
    conversation = None
    with crowded(probe) as port:
        conversation = Conversation(open_link(port.port))
        conversation.begin()
        port.unplug()
        conversation.link.close()
    probe.reset(start_id=9)
    whole = probe.hear(pack_command(Commands.IDENTIFY, 1))
    probe.reset(start_id=9)
    answers = iter([whole[:after_bytes]])
    with peer(lambda _: next(answers, b"")) as far:
        link = open_link(far.port)
        stopper = threading.Thread(target=lambda: (wait_until(lambda: far.heard), far.unplug()))
        stopper.start()
        with pytest.raises(ProbeTrouble) as trouble:
            conversation.reconnect(link)
        stopper.join()
        link.close()
    assert isinstance(trouble.value, PortGone)
    with crowded(probe) as port:
        outputs = conversation.reconnect(open_link(port.port))
        outputs += read_until(conversation, lambda seen: len(edge_times(seen)) >= 10)
        conversation.close()
    assert not [output for output in outputs if isinstance(output, Gap) and output.cause != "restart"]
    assert conversation.timebase.board.start_id == 9
