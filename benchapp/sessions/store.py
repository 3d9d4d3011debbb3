"""The writer of a session: evidence in, acknowledged once it is on the disk."""

import sqlite3
import time
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

from benchapp.records.errors import BenchError, SessionTakenAway
from benchapp.records.events import Event
from benchapp.records.leads import Stretch
from benchapp.records.run import Origin
from benchapp.records.stream import ClockPairs, Edges, Gap, Levels, Record
from benchapp.sessions.beginning import LEAST_ROOM, back_to_one_file, begin_session, check_target
from benchapp.sessions.blocks import (
    MOST_GAPS_IN_A_BLOCK,
    NO_LEAD,
    Block,
    BlockKind,
    GrowingBlocks,
    Place,
    pack_gaps,
    series_of,
)
from benchapp.sessions.connecting import disk_trouble
from benchapp.sessions.hashing import PlaceDigest, evidence_hash
from benchapp.sessions.lock import Saved, SessionLock, take_lock
from benchapp.sessions.naming import shown_folder, shown_name, sidecars
from benchapp.sessions.opening import open_session
from benchapp.sessions.rows import Head, put_block, put_event, put_head, put_stretch, transaction
from benchapp.sessions.taken_away import FilePlace, carry_on, has_left, let_go, place_of
from benchapp.sessions.texts import check_storable, descriptors_text, storable

_FOLDER_GOING_S = 0.1


class SessionWriter:
    """Writes one session, from one thread. Nothing counts as kept before commit has acknowledged it."""

    def __init__(self, path: Path, connection: sqlite3.Connection, lock: SessionLock, head: Head) -> None:
        self._path = path
        self._connection = connection
        self._lock = lock
        self._head = head
        self._stretches: list[Stretch] = []
        self._events: list[Event] = []
        self._stretches_written = 0
        self._events_written = 0
        self._growing: dict[Place, GrowingBlocks] = {}
        self._digests: dict[Place, PlaceDigest] = {}
        self._rows: dict[tuple[Place, int], int] = {}
        self._last_row = 0
        self._gaps: dict[int, list[Gap]] = {}
        self._gap_blocks: dict[int, int] = {}
        self._added = 0
        self._acknowledged = 0
        self._trouble: BenchError | None = None
        self._first_ns: int | None = None
        self._last_ns = 0
        self._place = place_of(path)
        self._wal_place: FilePlace | None = None

    @classmethod
    def create(
        cls,
        path: Path,
        *,
        origin: Origin,
        software: str,
        started: str | None,
        name: str,
        force: bool = False,
    ) -> "SessionWriter":
        """Return the writer of a new session at path; it appears whole, as an empty session, or not at all.

        started : ISO 8601 with its offset, or None for a capture that states no date
        Raises OutputExists for an existing file without force, SessionBusy while another program writes it,
        WrongCall for an impossible name, DiskTrouble where the folder cannot be written.
        """
        check_target(path, force=force)
        lock = take_lock(path)
        try:
            head = Head(name=storable(name), started=started, origin=origin.value, software=storable(software))
            connection = begin_session(path, head, lock)
        except BaseException:
            lock.release()
            raise
        return cls(path, connection, lock, head)

    @property
    def path(self) -> Path:
        """The file being written: another one than was asked for where that was taken away."""
        return self._path

    @property
    def acknowledged(self) -> int:
        """The number of edges, samples, clock pairs and gaps that are on the disk."""
        return self._acknowledged

    def add_stretch(self, stretch: Stretch) -> None:
        """Take a new stretch; its number is one more than the last one's."""
        if stretch.number != len(self._stretches) + 1:
            raise ValueError(f"wanted stretch {len(self._stretches) + 1}, got stretch {stretch.number}")
        self._stretches.append(stretch)

    def add_event(self, event: Event) -> None:
        """Take the next event of the log. Raises WrongInput where its detail is nothing that can be stored."""
        check_storable(event)
        self._events.append(event)

    def add_record(self, stretch_number: int, record: Record) -> None:
        """Take the next record of a stretch. Raises WrongInput when its stamps go back or its kind changes."""
        if not 1 <= stretch_number <= len(self._stretches):
            raise ValueError(f"stretch {stretch_number} was never added")
        if isinstance(record, Gap):
            self._add_gap(stretch_number, record)
        elif (record.probe_ns if isinstance(record, ClockPairs) else record.times_ns).size:
            self._add_series(stretch_number, record)

    def _add_gap(self, stretch_number: int, gap: Gap) -> None:
        self._gaps.setdefault(stretch_number, []).append(gap)
        self._digest(Place(stretch=stretch_number, kind=BlockKind.GAPS, lead=NO_LEAD)).feed_gaps([gap])
        self._added += 1
        self._see(gap.from_ns, gap.to_ns)

    def _add_series(self, stretch_number: int, record: Edges | Levels | ClockPairs) -> None:
        kind, lead, series = series_of(record)
        place = Place(stretch=stretch_number, kind=kind, lead=lead)
        growing = self._growing.get(place)
        if growing is None:
            tick_hz = self._stretches[stretch_number - 1].board.tick_hz
            growing = self._growing[place] = GrowingBlocks(place=place, tick_hz=tick_hz)
        growing.add(series)
        self._digest(place).feed(series)
        self._added += series.times_ns.size
        self._see(int(series.times_ns[0]), int(series.times_ns[-1]))

    def _digest(self, place: Place) -> PlaceDigest:
        return self._digests.setdefault(place, PlaceDigest())

    def _see(self, first_ns: int, last_ns: int) -> None:
        self._first_ns = first_ns if self._first_ns is None else min(self._first_ns, first_ns)
        self._last_ns = max(self._last_ns, last_ns)

    def commit(self) -> int:
        """Return the number of records on the disk, once everything added so far is.

        Raises DiskTrouble when the disk refuses; from then on the writer takes no more, and says the same again.
        """
        if self._trouble is not None:
            raise self._trouble
        self._stay()
        if self._is_clean():
            return self._acknowledged
        try:
            with transaction(self._connection):
                self._write()
        except sqlite3.Error as error:
            self._trouble = disk_trouble(error, self._path, kept=self._kept(), needed_bytes=self._room_needed())
            raise self._trouble from error
        self._stretches_written = len(self._stretches)
        self._events_written = len(self._events)
        self._gaps.clear()
        self._acknowledged = self._added
        self._stay()
        self._tell()
        return self._acknowledged

    def _stay(self) -> None:
        """Carry on in a new file where the one being written has lost its name. Raises SessionTakenAway where none can.

        A second file that was taken away is made anew: all of it goes into the first one before. Where a whole folder
        is being deleted, file by file, the first one goes a moment later; that is waited for, as a session whose two
        files are both nameless can be copied, and one that was just being folded into one cannot.
        """
        wal = place_of(sidecars(self._path)[0])
        wal_gone = self._wal_place is not None and wal != self._wal_place
        if wal_gone:
            time.sleep(_FOLDER_GOING_S)
        if has_left(self._path, self._place):
            self._move()
        elif wal_gone:
            with suppress(sqlite3.Error):
                for mode in ("DELETE", "WAL"):
                    self._connection.execute(f"PRAGMA journal_mode = {mode}").fetchall()
        self._wal_place = place_of(sidecars(self._path)[0])

    def _move(self) -> None:
        gone = self._path
        try:
            path, connection, lock = carry_on(gone, self._connection)
        except (sqlite3.Error, OSError, BenchError) as error:
            self._trouble = SessionTakenAway(
                f"{shown_name(gone)} was taken away or replaced while it was being recorded, and no other file could "
                f"be written in its place. Look for it in {shown_folder(gone)} or where it was moved to.",
                kept="Nothing more is saved.",
            )
            raise self._trouble from error
        let_go(gone, self._connection, self._wal_place)
        self._lock.release(finished=True)
        self._path, self._connection, self._lock = path, connection, lock
        self._place, self._wal_place = place_of(path), None
        self._tell()

    def _tell(self) -> None:
        self._lock.tell(Saved(records=self._acknowledged, last_ns=self._last_ns), whose=self._head.check)

    def _is_clean(self) -> bool:
        written = (self._stretches_written, self._events_written, self._acknowledged)
        return written == (len(self._stretches), len(self._events), self._added)

    def _write(self) -> None:
        for stretch in self._stretches[self._stretches_written :]:
            put_stretch(self._connection, stretch, descriptors_text(stretch))
        for growing in self._growing.values():
            for block in growing.take():
                put_block(self._connection, self._row_of(block), block)
        for number, gaps in self._gaps.items():
            for start in range(0, len(gaps), MOST_GAPS_IN_A_BLOCK):
                self._write_gaps(number, gaps[start : start + MOST_GAPS_IN_A_BLOCK])
        for event in self._events[self._events_written :]:
            put_event(self._connection, event)

    def _write_gaps(self, stretch_number: int, gaps: list[Gap]) -> None:
        place = Place(stretch=stretch_number, kind=BlockKind.GAPS, lead=NO_LEAD)
        number = self._gap_blocks.get(stretch_number, 0)
        self._gap_blocks[stretch_number] = number + 1
        block = pack_gaps(place, number, gaps)
        put_block(self._connection, self._row_of(block), block)

    def _row_of(self, block: Block) -> int:
        """Return the row of a block: the one its shorter self has, else the next."""
        key = (block.place, block.number)
        if key not in self._rows:
            self._rows.pop((block.place, block.number - 1), None)  # sealed: never written again
            self._last_row += 1
            self._rows[key] = self._last_row
        return self._rows[key]

    def _kept(self) -> str:
        return f"What was recorded before is kept in {shown_name(self._path)}: {self._acknowledged} records."

    def _room_needed(self) -> int:
        """Return the bytes another hour would take at the rate so far, at least 20 MB."""
        try:
            size = sum(part.stat().st_size for part in (self._path, *sidecars(self._path)[:1]) if part.exists())
        except OSError:
            return LEAST_ROOM
        span_ns = max(1_000_000_000, self._last_ns - (self._first_ns or 0))
        return max(LEAST_ROOM, int(size * 3_600_000_000_000 / span_ns))

    def close(self) -> str:
        """Return the evidence hash, once the session is a single file again and has been read back with that hash.

        Raises DiskTrouble when the disk refuses: what was acknowledged stays, as a session that was stopped early; and
        where what is there now is not what was written.
        """
        self.commit()
        code = evidence_hash(
            [(stretch, descriptors_text(stretch)) for stretch in self._stretches], self._digests, self._events
        )
        try:
            with transaction(self._connection):
                put_head(self._connection, replace(self._head, evidence_hash=code))
        except sqlite3.Error as error:
            self._trouble = disk_trouble(error, self._path, kept=self._kept(), needed_bytes=LEAST_ROOM)
            raise self._trouble from error
        self._stay()
        back_to_one_file(self._connection)
        self._read_back(code)
        self._lock.release(finished=True)
        return code

    def _read_back(self, code: str) -> None:
        try:
            found = open_session(self._path, own_lock=True)
        except BenchError as error:
            self._trouble = _not_there(self._path, error.message)
            raise self._trouble from error
        if (found.head.evidence_hash, found.evidence_hash) != (code, code):
            what = found.damage[0] if found.damage else f"its evidence code is {found.evidence_hash}"
            self._trouble = _not_there(self._path, what)
            raise self._trouble

    def abandon(self) -> None:
        """Let go of the file as it is: a session that was stopped early. A second call does nothing."""
        in_one_file = False
        with suppress(sqlite3.Error):
            in_one_file = back_to_one_file(self._connection)
        if in_one_file:
            self._lock.release(finished=True)
        else:
            self._lock.leave()


def _not_there(path: Path, what: str) -> SessionTakenAway:
    return SessionTakenAway(
        f"{shown_name(path)} was closed, but what is there now is not what was written: {what}",
        kept=f"Nothing is known to be kept in {shown_name(path)}.",
    )
