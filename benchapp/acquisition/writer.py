"""The thread that owns the only writing connection: what it acknowledges is on the disk."""

import logging
import queue
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Protocol

from benchapp.acquisition.clocks import HostClocks
from benchapp.records.errors import BenchError, DiskTrouble, SystemTrouble
from benchapp.records.events import Event, EventKind
from benchapp.records.leads import Stretch
from benchapp.records.run import Origin
from benchapp.records.stream import ClockPairs, Edges, Gap, Levels, Record

QUEUE_ITEMS = 4096
PATIENCE_S = 2.0
"""A queue that stays full for this long means the disk has stopped."""
LONGEST_ASK_S = 12.0
"""Beginning and closing a session file are waited for so long after the last thing that the disk took."""
_READ_BACK_A_S = 500_000
"""Records that even a busy computer reads back a second; closing reads back all of them (measured: 5 to 15 million)."""
LONGEST_QUIT_S = 4.0
SAID_AFTER_NS = 2_000_000_000
"""A disk that has not answered for this long is said to be silent."""
COMMIT_BYTES = 256 * 1024
_LOOK_S = 0.05

_log = logging.getLogger(__name__)


class Store(Protocol):
    """What the writer needs of a session file under construction."""

    @property
    def path(self) -> Path:
        """The file being written: another than was asked for where that one was taken away."""

    def add_stretch(self, stretch: Stretch) -> None:
        """Begin a stretch."""

    def add_record(self, stretch_number: int, record: Record) -> None:
        """Keep one record of a stretch."""

    def add_event(self, event: Event) -> None:
        """Keep one event."""

    def commit(self) -> int:
        """Put everything so far on the disk; return how many records that makes."""

    def close(self) -> str:
        """Close the file for good; return its evidence hash."""

    def abandon(self) -> None:
        """Let go of the file as it is, without writing."""


@dataclass(frozen=True, kw_only=True, slots=True)
class SessionStart:
    """How a session file is begun."""

    path: Path
    origin: Origin
    software: str
    started: str | None
    name: str
    force: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Saved:
    """What the writer has acknowledged, and when [ns on the computer's monotonic clock].

    run : the newest run whose end is among it, 0 before any
    """

    records: int
    at_ns: int
    run: int = 0


@dataclass(frozen=True, kw_only=True, slots=True)
class _Asked:
    """A question to the writer that somebody waits for until it is settled; given_up: nobody does any more."""

    settled: threading.Event = field(default_factory=threading.Event)
    given_up: threading.Event = field(default_factory=threading.Event)


@dataclass(frozen=True, kw_only=True, slots=True)
class _Begin(_Asked):
    start: SessionStart


@dataclass(frozen=True, kw_only=True, slots=True)
class _Commit:
    pass


@dataclass(frozen=True, kw_only=True, slots=True)
class _Close(_Asked):
    pass


@dataclass(frozen=True, kw_only=True, slots=True)
class _Quit:
    pass


@dataclass(frozen=True, kw_only=True, slots=True)
class _Placed:
    stretch_number: int
    record: Record


_Item = _Begin | _Commit | _Close | _Quit | _Placed | Stretch | Event


class Writer:
    """Takes a session's evidence in order and writes it; its queue is bounded and never drops.

    One thread gives, this one writes. After the first trouble nothing more is written and everything given is
    passed over: what was acknowledged before it stays. No call waits without limit: where the disk does not answer in
    time, that is the trouble.
    """

    def __init__(
        self,
        create: Callable[[SessionStart], Store],
        clocks: HostClocks,
        *,
        items: int = QUEUE_ITEMS,
        patience_s: float = PATIENCE_S,
        ask_s: float = LONGEST_ASK_S,
        quit_s: float = LONGEST_QUIT_S,
    ) -> None:
        self._create = create
        self._clocks = clocks
        self._patience_s = patience_s
        self._ask_s = ask_s
        self._quit_s = quit_s
        self._asked_ns: int | None = None
        self._took_s = 0.0
        self._queue: queue.Queue[_Item] = queue.Queue(maxsize=items)
        self._store: Store | None = None
        self._uncommitted_bytes = 0
        self._ended_run = 0
        self._thread = threading.Thread(target=self._run, name="writer", daemon=True)
        self.saved: Saved | None = None
        self.trouble: BenchError | None = None
        self.moved_to: Path | None = None
        self._begun_as: Path | None = None
        self.evidence_hash = ""

    @property
    def silent_ns(self) -> int:
        """How long the disk has not answered what was asked of it [ns]; 0 while nothing is."""
        asked_ns = self._asked_ns
        return 0 if asked_ns is None else max(0, self._clocks.monotonic_ns() - asked_ns)

    def start(self) -> None:
        """Start the thread."""
        self._thread.start()

    def begin(self, start: SessionStart) -> None:
        """Begin a session file, and come back when it is there. Raises the BenchError that stood in the way."""
        self.trouble, self.saved, self.evidence_hash = None, None, ""
        self._ask(_Begin(start=start), "to begin the session file")
        if self.trouble is not None:
            raise self.trouble

    def add_stretch(self, stretch: Stretch) -> None:
        """Give the stretch that begins to be written."""
        self._give(stretch)

    def add_record(self, stretch_number: int, record: Record) -> None:
        """Give one record to be written."""
        self._give(_Placed(stretch_number=stretch_number, record=record))

    def add_event(self, event: Event) -> None:
        """Give one event to be written."""
        self._give(event)

    def commit(self) -> None:
        """Have everything given so far put on the disk; does not wait for it."""
        self._give(_Commit())

    def close_session(self) -> None:
        """Close the session file, and come back when it is a single file again, or in trouble."""
        self._ask(_Close(), "to close the session file")

    def quit(self) -> None:
        """Close whatever is open, end the thread, and come back when it has ended; a dead disk is not waited for."""
        over_s = time.monotonic() + self._quit_s
        try:
            self._queue.put(_Quit(), timeout=self._quit_s)
        except queue.Full:
            _log.error("the disk does not come back; leaving without it")
            return
        self._thread.join(timeout=max(0.0, over_s - time.monotonic()))
        if self._thread.is_alive():
            self._lose_patience(self._quit_s, "to end the recording")

    def _ask(self, item: _Begin | _Close, wanted: str) -> None:
        """Give what is asked and wait for it: as long as the disk still takes what was given before, and then some."""
        patience_s = self._ask_s
        if isinstance(item, _Close) and self.saved is not None:
            patience_s += self.saved.records / _READ_BACK_A_S
        since_s = time.monotonic()
        try:
            self._queue.put(item, timeout=patience_s)
        except queue.Full:
            pass
        else:
            while not item.settled.wait(_LOOK_S):
                if time.monotonic() - max(since_s, self._took_s) > patience_s:
                    break
        if not item.settled.is_set():
            item.given_up.set()
            self._lose_patience(patience_s, wanted)

    def _lose_patience(self, waited_s: float, wanted: str) -> None:
        """Note that the disk did not answer; the trouble that was there first stays."""
        _log.error("the disk did not answer for %g s, asked %s", waited_s, wanted)
        self.trouble = self.trouble or DiskTrouble(
            f"The disk did not answer for {waited_s:.3g} s when asked {wanted}. "
            "What was saved before is kept. Choose a folder on another disk and record again."
        )

    def _give(self, item: _Item) -> None:
        if self.trouble is not None:
            return
        try:
            self._queue.put(item, timeout=self._patience_s)
        except queue.Full:
            self.trouble = DiskTrouble(
                f"The disk took nothing for {self._patience_s:g} s, so the recording was stopped. "
                "Choose a folder on another disk and record again."
            )

    def _run(self) -> None:
        item: _Item | None = None
        while not isinstance(item, _Quit):
            item = self._queue.get()
            try:
                self._write(item)
            except BenchError as trouble:
                self._fail(trouble)
            except Exception as fault:  # noqa: BLE001 - whoever waits for this thread must hear of everything
                _log.exception("writing the session met something unforeseen")
                self._fail(_unforeseen(fault))
            finally:
                self._asked_ns = None
                self._took_s = time.monotonic()
                if isinstance(item, _Begin | _Close):
                    item.settled.set()

    def _write(self, item: _Item) -> None:
        if isinstance(item, _Begin):
            self._begin(item)
            return
        store = self._store
        if store is None:
            return
        if self.trouble is not None:  # the giver lost patience
            self._fail(self.trouble)
            return
        match item:
            case _Placed():
                store.add_record(item.stretch_number, item.record)
                self._uncommitted_bytes += _size(item.record)
                if self._uncommitted_bytes >= COMMIT_BYTES:
                    self._commit(store)
            case Stretch():
                store.add_stretch(item)
            case Event():
                store.add_event(item)
                if item.kind is EventKind.RUN_STOP:
                    self._ended_run = item.run or 0
            case _Commit():
                self._commit(store)
            case _Close() | _Quit():
                self._commit(store)
                self._asked_ns = self._clocks.monotonic_ns()
                self.evidence_hash = store.close()
                self._look_where(store)
                self._store = None

    def _begin(self, asked: _Begin) -> None:
        if asked.given_up.is_set():
            return
        self._asked_ns = self._clocks.monotonic_ns()
        store = self._create(asked.start)
        if asked.given_up.is_set():  # it came too late
            store.abandon()
            return
        self._store = store
        self._begun_as, self.moved_to = store.path, None
        self._uncommitted_bytes = self._ended_run = 0

    def _commit(self, store: Store) -> None:
        self._asked_ns = self._clocks.monotonic_ns()
        records = store.commit()
        self._asked_ns = None
        self._look_where(store)
        self._uncommitted_bytes = 0
        self.saved = Saved(records=records, at_ns=self._clocks.monotonic_ns(), run=self._ended_run)

    def _look_where(self, store: Store) -> None:
        if store.path != self._begun_as:
            self.moved_to = store.path

    def _fail(self, trouble: BenchError) -> None:
        _log.error("writing the session stopped: %s", type(trouble).__name__)
        self.trouble = trouble
        store, self._store = self._store, None
        if store is None:
            return
        try:
            store.abandon()
        except Exception:  # noqa: BLE001 - the trouble itself is what has to be heard
            _log.exception("letting go of the session file failed")


def _unforeseen(fault: Exception) -> SystemTrouble:
    return SystemTrouble(
        f"Writing the session stopped at something this program did not expect ({type(fault).__name__}). "
        "What was saved up to then is kept. Record again."
    )


def _size(record: Record) -> int:
    """Return about how many bytes a record is before packing."""
    match record:
        case Edges():
            return record.times_ns.nbytes + record.levels.nbytes + record.flags.nbytes
        case Levels():
            return record.times_ns.nbytes + record.values.nbytes
        case ClockPairs():
            return record.probe_ns.nbytes + record.host_ns.nbytes
        case Gap():
            return 64
