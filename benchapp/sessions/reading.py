"""The rows of a session that came from anywhere: read without trust, changed nowhere, row by row if damaged."""

import shutil
import sqlite3
import stat
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from benchapp.records.errors import BenchError, DamagedEvidence, DiskTrouble, NewerSession, SessionBusy, WrongInput
from benchapp.sessions.connecting import connect_untrusting, error_name
from benchapp.sessions.lock import is_held
from benchapp.sessions.naming import reason, shown_folder, shown_name, sidecars
from benchapp.sessions.schema import APPLICATION_ID, VERSION, stray_objects
from benchapp.sessions.write_ahead import WHOLE, WriteAhead, look_ahead

_MAGIC = b"SQLite format 3\x00"
_SUPER_JOURNAL = bytes.fromhex("d9d505f920a163d7")
_LEAST_LIMIT_S = 20.0
_SLOWEST_BYTES_PER_S = 4_000_000
_LARGEST_FILE = 2 << 30
_NOT_TOGETHER = "its tables do not hang together"
_MOST_MISSES = 4096  # rows that cannot be read in a row before the rest of a table is given up
# SQLite's message may quote bytes of a damaged schema, which Python then fails to decode.
_UNREADABLE = (sqlite3.DatabaseError, UnicodeDecodeError, MemoryError)
_COPY_INSTEAD = ("SQLITE_CANTOPEN", "SQLITE_READONLY", "SQLITE_FULL", "SQLITE_IOERR_SHM", "SQLITE_IOERR_WRITE")
_OF_THE_FILE = ("SQLITE_CORRUPT", "SQLITE_NOTADB", "SQLITE_IOERR_SHORT_READ")

Row = tuple[Any, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class StoredRows:
    """The rows of a session as they lie there, not yet checked. structure names what SQLite finds wrong, "" if nothing.

    unreadable names the tables of which rows could not be read at all; live: a writer holds the session now.
    beyond counts the commits behind a fault in the write-ahead file, mended is that file with its checks made to fit,
    b"" where it cannot be, read_beyond: they are among the rows; without_wal: the file was left in the middle of being
    written and its write-ahead file is not beside it.
    """

    session: list[Row]
    stretch: list[Row]
    block: list[Row]
    event: list[Row]
    structure: str
    unreadable: frozenset[str]
    live: bool
    beyond: int = 0
    mended: bytes = b""
    read_beyond: bool = False
    without_wal: bool = False


def _refuse(path: Path, what: str) -> WrongInput:
    return WrongInput(f"{shown_name(path)} {what} Choose a session file (.t2h).")


def _size_of(path: Path) -> int:
    """Return the size of a regular file. Raises WrongInput for everything else."""
    try:
        facts = path.stat()
    except FileNotFoundError as error:
        raise _refuse(path, "is not there.") from error
    except (OSError, ValueError) as error:
        why = reason(error) if isinstance(error, OSError) else "no name of a file"
        raise _refuse(path, f"cannot be opened: {why}.") from error
    if not stat.S_ISREG(facts.st_mode):
        raise _refuse(path, "is a folder, not a file." if stat.S_ISDIR(facts.st_mode) else "is no ordinary file.")
    if facts.st_size == 0:
        raise _refuse(path, "is empty: wanted a session, got 0 bytes.")
    if facts.st_size > _LARGEST_FILE:
        raise _refuse(path, f"is larger than {_LARGEST_FILE >> 30} GB, more than any session.")
    return facts.st_size


def _first_bytes(header: bytes) -> str:
    """Return how a file begins, as text where it is text, else as byte values."""
    begin = header[:16]
    if begin and all(32 <= byte < 127 for byte in begin):
        return f'"{begin.decode("ascii")}"'
    return f"the bytes {begin.hex(' ')}" if begin else "nothing"


@dataclass(frozen=True, kw_only=True, slots=True)
class _Header:
    """What the head of a file says: the size of its pages, and whether it was being written when it was left."""

    page_size: int
    in_writing: bool


def _check_header(path: Path, size: int) -> _Header:
    """Return the head of a session (source: sqlite.org/fileformat2.html, The Database Header); raise where it is none.

    While a session is recorded its bytes 18 and 19 are 2; closing it in order sets them to 1.
    """
    try:
        with path.open("rb") as file:
            header = file.read(100)
    except OSError as error:
        raise _refuse(path, f"cannot be read: {reason(error)}.") from error
    if header[:16] != _MAGIC[: len(header)]:
        raise _refuse(path, f"is no session: it begins with {_first_bytes(header)}.")
    if len(header) < 100:
        raise DamagedEvidence(f"{shown_name(path)} is cut off after {size} bytes: nothing in it can be read.")
    version = int.from_bytes(header[60:64], "big", signed=True)
    _check_marks(path, int.from_bytes(header[68:72], "big"), version)
    short_size = int.from_bytes(header[16:18], "big")
    page_size = 65536 if short_size == 1 else short_size
    whole = int.from_bytes(header[28:32], "big") * page_size
    if header[24:28] == header[92:96] and size < whole:
        raise DamagedEvidence(
            f"{shown_name(path)} is cut off: wanted {whole} bytes, got {size}. Copy it again from where it came from."
        )
    return _Header(page_size=page_size, in_writing=header[18] == 2)


def _check_marks(path: Path, application_id: int, version: int) -> None:
    if application_id != APPLICATION_ID:
        what = f"is another program's database: wanted the mark {APPLICATION_ID:#010x}, got {application_id:#010x}."
        raise _refuse(path, what)
    if version > VERSION:
        raise NewerSession(
            f"{shown_name(path)} was written by a newer version: its format is {version}, this program reads up to "
            f"{VERSION}. Update the program to open it."
        )
    if version < 1:
        raise _refuse(path, f"is no session: wanted a format of 1 to {VERSION}, got {version}.")


def refuse_foreign_journal(path: Path) -> None:
    """Raise WrongInput where the journal beside a session names another file.

    A session is never written together with another database, and playing such a journal back removes what it names.
    """
    journal = sidecars(path)[2]
    try:
        foreign = journal.is_file() and journal.read_bytes()[-8:] == _SUPER_JOURNAL
    except OSError as error:
        raise _refuse(journal, f"cannot be read: {reason(error)}.") from error
    if foreign:
        raise _refuse(journal, "names another database, which no session does: nothing was opened.")


def _trouble(error: Exception, path: Path) -> BenchError:
    """Return what to tell a person; SQLite's own words, which quote the file, stay out of it."""
    session, folder = shown_name(path), shown_folder(path)
    if not isinstance(error, sqlite3.Error):
        return DamagedEvidence(f"{session} is damaged and cannot be read: its tables are not described in text.")
    troubles: list[tuple[tuple[str, ...], BenchError]] = [
        (("SQLITE_NOTADB",), _refuse(path, "is no session: what lies in it is not a database of one.")),
        (("SQLITE_INTERRUPT",), _refuse(path, "took too long to read and was left: it is not made as a session is.")),
        (
            ("SQLITE_BUSY", "SQLITE_LOCKED"),
            SessionBusy(f"{session} is being written by another program. Try again when it has ended."),
        ),
        (_OF_THE_FILE, DamagedEvidence(f"{session} is damaged and cannot be read: {_NOT_TOGETHER}.")),
        (
            ("SQLITE_FULL",),
            DiskTrouble(
                f"There is no room on the disk to read {session}. Make room in {folder}, or copy it to another."
            ),
        ),
        (
            ("SQLITE_IOERR", "SQLITE_CANTOPEN", "SQLITE_READONLY"),
            DiskTrouble(
                f"The disk failed while {session} in {folder} was being read: the session may be whole. Copy it to "
                "another disk and try again."
            ),
        ),
    ]
    name = error_name(error)
    other = _refuse(path, "cannot be read as a session: its tables are not as a session has them.")
    return next((trouble for names, trouble in troubles if name.startswith(names)), other)


@contextmanager
def _private_copy(path: Path) -> Iterator[Path]:
    """Lend a copy of a session that nobody is writing, with its journals, in a folder of its own."""
    wal, _, journal = sidecars(path)
    with tempfile.TemporaryDirectory(prefix="t2h-") as folder:
        copy = Path(folder) / "copy.t2h"
        try:
            for source, ending in ((path, ""), (wal, "-wal"), (journal, "-journal")):
                if source.exists():
                    shutil.copyfile(source, copy.with_name(copy.name + ending))
        except OSError as error:
            raise DiskTrouble(
                f"{shown_name(path)} could not be copied into {folder} to read it: {reason(error)}. Make room there; "
                "the session itself is as it was."
            ) from error
        yield copy


def read_rows(path: Path, *, own_lock: bool = False) -> StoredRows:
    """Return the rows of a session file, which stays as it is.

    own_lock: the caller holds its lock and is not writing.
    Raises WrongInput for anything that is no session, NewerSession, DamagedEvidence where nothing can be read,
    DiskTrouble where the disk refuses to be read.
    """
    size = _size_of(path)
    live = not own_lock and is_held(path)
    wal, _, journal = sidecars(path)
    beside = wal.exists() or journal.exists()
    ahead, without_wal = WHOLE, False
    if not live:
        # Never while a writer of this process may be at it: closing the file would drop SQLite's own locks.
        header = _check_header(path, 1 << 62 if beside else size)
        refuse_foreign_journal(path)
        ahead = _ahead(wal, header)
        without_wal = header.in_writing and not _holds_anything(wal)
    limit_s = _LEAST_LIMIT_S + size / _SLOWEST_BYTES_PER_S
    try:
        found = _read_as_it_is(path, live=live, limit_s=limit_s)
    except (sqlite3.Error, UnicodeDecodeError, MemoryError) as error:
        raise _trouble(error, path) from error
    return replace(found, beyond=ahead.beyond, mended=ahead.mended, without_wal=without_wal)


def _holds_anything(wal: Path) -> bool:
    try:
        return wal.stat().st_size > 0
    except OSError:
        return False


def _ahead(wal: Path, header: _Header) -> WriteAhead:
    size = header.page_size
    if size < 512 or size & (size - 1) or not _holds_anything(wal):
        return WHOLE
    if wal.stat().st_size > _LARGEST_FILE:
        raise _refuse(wal, f"is larger than {_LARGEST_FILE >> 30} GB, more than any session.")
    try:
        return look_ahead(wal, size)
    except OSError as error:
        raise _refuse(wal, f"cannot be read: {reason(error)}.") from error


def read_beyond(path: Path, rows: StoredRows) -> StoredRows | None:
    """Return the rows with those behind the fault in the write-ahead file, None where they do not make a session."""
    if not rows.mended:
        return None
    limit_s = _LEAST_LIMIT_S + len(rows.mended) / _SLOWEST_BYTES_PER_S
    try:
        with _private_copy(path) as copy:
            sidecars(copy)[0].write_bytes(rows.mended)
            with closing(connect_untrusting(copy, mode="rw", immutable=False, limit_s=limit_s)) as connection:
                found = _read(path, connection, live=False)
    except (*_UNREADABLE, BenchError, OSError):
        return None
    return None if found.structure or found.unreadable else replace(found, beyond=rows.beyond, read_beyond=True)


def _read_as_it_is(path: Path, *, live: bool, limit_s: float) -> StoredRows:
    wal, _, journal = sidecars(path)
    beside = wal.exists() or journal.exists()
    if live or (beside and not journal.exists()):
        return _read_in_place(path, live=live, limit_s=limit_s)
    if beside:
        return _read_copy(path, limit_s=limit_s)
    with closing(connect_untrusting(path, mode="ro", immutable=True, limit_s=limit_s)) as connection:
        return _read(path, connection, live=False)


def _read_in_place(path: Path, *, live: bool, limit_s: float) -> StoredRows:
    try:
        with closing(connect_untrusting(path, mode="ro", immutable=False, limit_s=limit_s)) as connection:
            return _read(path, connection, live=live)
    except sqlite3.Error as error:
        if live or not error_name(error).startswith(_COPY_INSTEAD):
            raise
    return _read_copy(path, limit_s=limit_s)


def _read_copy(path: Path, *, limit_s: float) -> StoredRows:
    with (
        _private_copy(path) as copy,
        closing(connect_untrusting(copy, mode="rw", immutable=False, limit_s=limit_s)) as connection,
    ):
        return _read(path, connection, live=False)


def _read(path: Path, connection: sqlite3.Connection, *, live: bool) -> StoredRows:
    connection.execute("BEGIN")
    marks = [connection.execute(f"PRAGMA {name}").fetchone()[0] for name in ("application_id", "user_version")]
    _check_marks(path, marks[0] & 0xFFFFFFFF, marks[1])
    strays = stray_objects(connection)
    if strays:
        raise _refuse(path, f"is not made as a session is: {', '.join(strays[:3])}.")
    structure = _structure(connection)
    budget = _Budget(path, sum(part.stat().st_size for part in (path, *sidecars(path)) if part.exists()))
    found = {table: _table_rows(connection, table, budget) for table in ("session", "stretch", "event", "block")}
    unreadable = frozenset(table for table, (_, whole) in found.items() if not whole)
    rows = {table: table_rows for table, (table_rows, _) in found.items()}
    connection.execute("ROLLBACK")
    return StoredRows(
        session=rows["session"],
        stretch=rows["stretch"],
        block=rows["block"],
        event=rows["event"],
        structure=structure,
        unreadable=unreadable,
        live=live,
    )


def _structure(connection: sqlite3.Connection) -> str:
    try:
        lines = [str(row[0]) for row in connection.execute("PRAGMA quick_check").fetchmany(3)]
    except _UNREADABLE as error:
        if _is_of_the_disk(error):
            raise
        return _NOT_TOGETHER
    return "" if lines == ["ok"] else _NOT_TOGETHER


def _is_of_the_disk(error: Exception) -> bool:
    """Return whether an error says nothing of the file: time ran out, or the disk refused."""
    name = error_name(error)
    return name.startswith(("SQLITE_INTERRUPT", "SQLITE_FULL", "SQLITE_IOERR")) and not name.startswith(_OF_THE_FILE)


class _Budget:
    """No more may come out of a file than lies in it: rows that share pages would fill the memory."""

    def __init__(self, path: Path, size: int) -> None:
        self._path = path
        self._left = size + 4096

    def take(self, row: Row) -> None:
        self._left -= sum(len(cell) for cell in row if isinstance(cell, bytes | str))
        if self._left < 0:
            raise DamagedEvidence(f"{shown_name(self._path)} is damaged: more comes out of it than lies in it.")


def _table_rows(connection: sqlite3.Connection, table: str, budget: _Budget) -> tuple[list[Row], bool]:
    """Return the rows of a table by key, and whether all of them could be read."""
    key = "number" if table == "stretch" else "id"
    rows: list[Row] = []
    after, misses, whole = 0, 0, True
    while misses < _MOST_MISSES:
        try:
            query = f"SELECT * FROM {table} WHERE {key} > ? ORDER BY {key}"
            for row in connection.execute(query, (after,)):
                budget.take(row)
                rows.append(row)
                after, misses = row[0], 0
            return rows, whole
        except _UNREADABLE as error:
            if _is_of_the_disk(error):
                raise
            after, misses, whole = after + 1, misses + 1, False
    return rows, False
