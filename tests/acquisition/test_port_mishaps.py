"""A recording whose computer stalls, whose port another program holds for a while, whose bus resets."""

import fcntl
import os
import signal
import struct
import subprocess
import sys
import termios
from dataclasses import replace

from benchapp.acquisition.status import LinkState
from benchapp.acquisition.wishes import NewSession, StartRun
from benchapp.probe.backends.port_faults import open_trouble
from benchapp.probe.link import Arrival
from benchapp.probe.messages import Reply
from benchapp.probe.opening import open_link
from benchapp.probe.wire import Commands, Kind, Status, pack_reply
from benchapp.records.errors import PortGone
from benchapp.records.run import Origin, Outcome, RunSettings
from benchapp.sessions.opening import open_session, verify
from tests.acquisition.fakes import WatchedLink, ask_for_run, finish, opener, plugs, practice
from tests.acquisition.test_recording import ALDER, wait_for
from tests.probe.crowded_port import CrowdedPort, crowded, wait_until
from tests.probe.scripted_probe import ScriptedProbe

STALL_NS = 5_000_000_000


class LateLink(WatchedLink):
    """A link that nobody read for five seconds: its host clock goes on, and what was sent meanwhile waits in it."""

    late_ns = 0

    def read(self):
        arrival = super().read()
        arrived = replace(arrival, host_ns=arrival.host_ns + self.late_ns)
        if self.reads == 300:
            self.late_ns = STALL_NS  # from here until the next read
        return arrived

    def host_ns(self) -> int:
        return self._link.host_ns() + self.late_ns


def test_a_computer_that_stalls_longer_than_a_probe_may_be_silent_loses_no_probe(tmp_path):
    recording = practice(lambda: LateLink(open_link(ALDER), lambda reads: None))
    ask_for_run(recording, tmp_path / "a.t2h", flips=30)
    finish(recording)
    assert recording.failure is None
    (run,) = open_session(tmp_path / "a.t2h").runs()
    assert run.outcome is Outcome.COMPLETE
    assert len(open_session(tmp_path / "a.t2h").stretches) == 1


def test_a_port_that_a_service_holds_when_the_probe_comes_back_is_said_and_taken_once_it_is_let_go(tmp_path):
    tries = iter([opener(f"{ALDER}&unplug_s=6"), *[_held] * 3, opener("practice://alder?seed=12")])
    said = []

    def open_next():
        return next(tries)()

    recording = practice(open_next, patient=True)
    ask_for_run(recording, tmp_path / "a.t2h", flips=50, alone=False)
    recording.start()
    wait_for(recording, lambda status: status.link is LinkState.IN_USE and not said.append(status.message))
    assert "another program holds it" in said[-1]
    assert "a modem service" in said[-1]
    wait_for(recording, lambda status: status.link is LinkState.RECORDING)
    recording.wish(StartRun(settings=RunSettings(flips=2)))
    wait_for(recording, lambda status: status.run.run == 2 and status.run.outcome == "complete")
    recording.close()
    assert [stretch.number for stretch in open_session(tmp_path / "a.t2h").stretches] == [1, 2]
    assert verify(tmp_path / "a.t2h").ok


def _held():
    raise open_trouble("/dev/ttyUSB0", BlockingIOError(11, "Resource temporarily unavailable"))


def test_a_recording_that_is_stopped_in_its_tracks_and_goes_on_keeps_a_gap_for_all_that_overflowed(tmp_path):
    session = tmp_path / "stalled.t2h"
    words = ["record", "--out", session, "--yes-safe", "--test", "switch-flip", "--flips", "200"]
    with crowded() as port:
        child = subprocess.Popen(
            [sys.executable, "-m", "benchapp", *map(str, words), "--probe", port.port],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
        )
        try:
            wait_until(lambda: len(port.sent) > 200 or child.poll() is not None)
            assert child.poll() is None, child.stderr.read()
            os.kill(child.pid, signal.SIGSTOP)
            port.rush = True
            wait_until(lambda: len(port.refused) > 2000)
            port.rush = False
            os.kill(child.pid, signal.SIGCONT)
            port.quiet = True
            beats = port.beats
            wait_until(lambda: port.beats > beats + 5 and not waiting(port))
            child.send_signal(signal.SIGINT)
            child.communicate(timeout=60)
        finally:
            child.kill()
            child.communicate()
    check_told(session, port)


def waiting(port: CrowdedPort) -> int:
    """Return how many bytes nobody has read yet."""
    with os.fdopen(os.open(port.port, os.O_RDWR | os.O_NOCTTY), "rb", buffering=0) as near:
        return struct.unpack("i", fcntl.ioctl(near, termios.FIONREAD, b"\0" * 4))[0]


def check_told(session, port: CrowdedPort) -> None:
    """Every edge in the session is one that was sent, and every other lies in a gap."""
    assert verify(session).ok
    opened = open_session(session)
    (stretch,) = opened.stretches
    times = set(opened.edges(1, 0).times_ns.tolist())
    sent = {stretch.origin_ns + ((tick - stretch.origin_tick) * 125 + 1) // 2 for tick in port.sent}
    gaps = opened.gaps(1)
    assert times <= sent
    assert len(times) < len(sent)
    for missing in sent - times:
        assert any(gap.from_ns <= missing <= gap.to_ns for gap in gaps)


class FarReplyLink:
    """A probe of 1,000 ticks a second that answers start a second time, a hundred million years from now."""

    name = "a probe with a far reply"
    origin = Origin.PROBE

    def __init__(self) -> None:
        self._probe = ScriptedProbe(hz=1_000)
        self._waiting = b""
        self._reads = 0

    def host_ns(self) -> int:
        return self._reads * 20_000_000

    def read(self) -> Arrival:
        self._reads += 1
        probe, data, self._waiting = self._probe, self._waiting, b""
        probe.tick = 20 * self._reads
        if probe.started:
            data += probe.edges((0, self._reads & 1, probe.tick - 5), (1, 0, probe.tick - 1))
        if self._reads % 5 == 0:
            data += probe.heartbeat()
        if self._reads == 40:
            reply = Reply(command=Commands.START, token=200, status=Status.DONE, tick=(1 << 63) - 1)
            data += b"\x05\x05\x05\x00" + probe.frame(Kind.REPLY, pack_reply(reply))
        if self._reads > 100:
            raise PortGone("the plug was pulled")
        return Arrival(data=data, host_ns=self.host_ns())

    def write(self, data: bytes) -> None:
        self._waiting += self._probe.hear(data)

    def close(self) -> None:
        pass


def test_a_far_reply_costs_no_session_its_gaps(tmp_path):
    recording = practice(plugs(FarReplyLink), patient=True)
    recording.wish(NewSession(path=tmp_path / "a.t2h", name="far"))
    recording.start()
    wait_for(recording, lambda status: status.link is LinkState.LOST)
    recording.close()
    assert verify(tmp_path / "a.t2h").ok
    session = open_session(tmp_path / "a.t2h")
    assert not session.damage
    assert session.edges(1, 0).count > 60
    assert all(gap.to_ns < 10**10 for gap in session.gaps(1))
