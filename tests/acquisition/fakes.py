"""Links, clocks and disks that do what a test tells them to."""

import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from benchapp.acquisition.conductor import COMMIT_EVERY_NS
from benchapp.acquisition.recording import Recording
from benchapp.acquisition.wishes import Confirm, NewSession, StartRun
from benchapp.acquisition.writer import SessionStart
from benchapp.probe.link import Arrival, Link, stands_still
from benchapp.probe.opening import open_link
from benchapp.procedures.gate import offered_lines
from benchapp.records.errors import BenchError, DiskTrouble, PortGone
from benchapp.records.events import Event
from benchapp.records.leads import Stretch
from benchapp.records.run import Origin, RunSettings
from benchapp.records.stream import Record

LONG_S = 180.0
"""How long what comes by itself is waited for: a busy computer may be slow at anything.

No test waits as long unless something hangs.
"""

OPENED: list[Recording] = []
"""Every recording of the test that runs, so that a failure leaves no thread."""


class WatchedLink:
    """A link that calls a function before every read, and remembers what was written to it."""

    def __init__(self, link: Link, before_read: Callable[[int], None]) -> None:
        self._link = link
        self._before_read = before_read
        self.reads = 0
        self.written: list[bytes] = []
        self.closed = False

    @property
    def name(self) -> str:
        return self._link.name

    @property
    def origin(self) -> Origin:
        return self._link.origin

    @property
    def stands_still(self) -> bool:
        return stands_still(self._link)

    def read(self) -> Arrival:
        self._before_read(self.reads)
        self.reads += 1
        return self._link.read()

    def write(self, data: bytes) -> None:
        self.written.append(data)
        self._link.write(data)

    def host_ns(self) -> int:
        return self._link.host_ns()

    def close(self) -> None:
        self.closed = True
        self._link.close()


class SilentLink:
    """A port with something on it that says the same bytes for ever, or nothing; 20 ms pass at each read."""

    name = "a silent port"
    origin = Origin.PROBE

    def __init__(self, data: bytes = b"") -> None:
        self._data = data
        self._now_ns = 0
        self.written: list[bytes] = []
        self.closed = False

    def read(self) -> Arrival:
        self._now_ns += 20_000_000
        return Arrival(data=self._data, host_ns=self._now_ns)

    def write(self, data: bytes) -> None:
        self.written.append(data)

    def host_ns(self) -> int:
        return self._now_ns

    def close(self) -> None:
        self.closed = True


class TestClocks:
    """Clocks that go on only when told to."""

    __test__ = False

    def __init__(self) -> None:
        self.now_ns = 0
        self.slept_ns = 0

    def monotonic_ns(self) -> int:
        return self.now_ns

    def asleep_ns(self) -> int:
        return self.slept_ns


class CommittedAtEachRead:
    """Called before every read of a link: its clocks bring a commit at each, and from one read on it waits for a thing.

    So the writer has had its turn before the run is over, however fast the conductor is on this computer.
    """

    def __init__(self, wanted: Callable[[], object], *, from_read: int = 50) -> None:
        self.clocks = TestClocks()
        self._wanted, self._from_read = wanted, from_read

    def __call__(self, reads: int) -> None:
        self.clocks.now_ns += COMMIT_EVERY_NS
        if reads >= self._from_read:
            wait_until(self._wanted)


class MemoryStore:
    """A session file that keeps everything in lists, and can be made slow or broken."""

    def __init__(self, *, fail_at_commit: int | None = None, blocked: threading.Event | None = None) -> None:
        self.stretches: list[Stretch] = []
        self.records: list[tuple[int, Record]] = []
        self.events: list[Event] = []
        self.commits = 0
        self.acknowledged = 0
        self.closed = self.abandoned = False
        self.path = Path("memory.t2h")
        self.entered = threading.Event()
        self._fail_at_commit = fail_at_commit
        self._blocked = blocked

    def add_stretch(self, stretch: Stretch) -> None:
        self.stretches.append(stretch)

    def add_record(self, stretch_number: int, record: Record) -> None:
        self.records.append((stretch_number, record))

    def add_event(self, event: Event) -> None:
        self.events.append(event)

    def commit(self) -> int:
        self.entered.set()
        if self._blocked is not None:
            assert self._blocked.wait(LONG_S)
        self.commits += 1
        if self.commits == self._fail_at_commit:
            raise disk_full()
        self.acknowledged = len(self.records)
        return self.acknowledged

    def close(self) -> str:
        self.closed = True
        return "sha256:memory"

    def abandon(self) -> None:
        self.abandoned = True


def wait_until(there: Callable[[], object]) -> None:
    """Wait for what another thread brings, by itself, and fail where it never comes."""
    pause = threading.Event()
    for _ in range(round(LONG_S / 0.002)):
        if there():
            return
        pause.wait(0.002)
    pytest.fail("what was waited for never came")


def disk_full() -> BenchError:
    return DiskTrouble("the disk is full")


def start_of(path: Path = Path("memory.t2h")) -> SessionStart:
    return SessionStart(path=path, origin=Origin.PRACTICE, software="test", started=None, name="test", force=False)


def opener(url: str, before_read: Callable[[int], None] = lambda reads: None) -> Callable[[], WatchedLink]:
    return lambda: WatchedLink(open_link(url), before_read)


def plugs(*links: Callable[[], Link]) -> Callable[[], Link]:
    """Open one link after the other; after the last one there is no port."""
    waiting = list(links)

    def open_next() -> Link:
        if not waiting:
            raise PortGone("no port")
        return waiting.pop(0)()

    return open_next


def draw() -> float:
    return 0.5


def practice(open_it: Callable[[], Link] | str, **changes) -> Recording:
    values = {"software": "test", "draw": draw, "patient": False, "watched": False}
    recording = Recording(opener(open_it) if isinstance(open_it, str) else open_it, **{**values, **changes})
    OPENED.append(recording)
    return recording


def ask_for_run(recording: Recording, path: Path, *, flips: int = 5, alone: bool = True, **changes) -> None:
    """Confirm everything and ask for a run that is kept at path."""
    for line in offered_lines(Origin.PRACTICE):
        recording.wish(Confirm(line=line.value))
    recording.wish(StartRun(settings=RunSettings(flips=flips), alone=alone, **changes))
    recording.wish(NewSession(path=path, name="test"))


def finish(recording: Recording) -> None:
    """Start a recording and wait for its end."""
    recording.start()
    assert recording.wait_until_finished(LONG_S)
    recording.close()
