"""A session whose file was taken away or replaced while it is recorded, carried on in a new file.

Each commit asks whether the path still leads to the file (device and inode). Where it does not, all that was committed
goes into a new file beside it, or in the nearest folder above that is there, and the recording goes on in that.
"""

import os
import sqlite3
import time
from contextlib import closing, suppress
from pathlib import Path

from benchapp.records.errors import BenchError
from benchapp.sessions.connecting import connect_writing, session_uri
from benchapp.sessions.drafts import draft_beside
from benchapp.sessions.flushing import sync_folder
from benchapp.sessions.lock import SessionLock, take_lock
from benchapp.sessions.naming import sidecars

_TRIES = 4
_PAUSE_S = 0.05

FilePlace = tuple[int, int]


def place_of(path: Path) -> FilePlace | None:
    """Return the device and inode of a file, None where there is none."""
    try:
        facts = path.stat()
    except (OSError, ValueError):
        return None
    return facts.st_dev, facts.st_ino


def has_left(path: Path, place: FilePlace | None) -> bool:
    """Return whether the file that was at a path is not there any more.

    A file system that cannot say, or says something else each time it is asked, is no reason to think so.
    """
    try:
        now = [(facts.st_dev, facts.st_ino) for facts in (path.stat(), path.stat())]
    except (FileNotFoundError, NotADirectoryError):
        return True
    except OSError:
        return False
    return now[0] == now[1] != place


def free_name(path: Path) -> Path:
    """Return an unused name beside a session, or in the nearest folder above that is still there."""
    folder = path.absolute().parent
    while not folder.is_dir() and folder != folder.parent:
        folder = folder.parent
    number = 2
    while True:
        name = folder / f"{path.stem} {number}{path.suffix}"
        if not any(os.path.lexists(part) for part in (name, *sidecars(name))):
            return name
        number += 1


def carry_on(path: Path, connection: sqlite3.Connection) -> tuple[Path, sqlite3.Connection, SessionLock]:
    """Return a new file with all that was committed, its writing connection and its lock; it is on the disk by then.

    The open connection still reads the file that has no name any more. A folder that is just being deleted may take the
    first tries with it: each try looks anew where there is a folder. Raises sqlite3.Error, OSError, BenchError.
    """
    for _ in range(_TRIES - 1):
        try:
            return _carry_on_in(free_name(path), connection)
        except (sqlite3.Error, OSError, BenchError):
            time.sleep(_PAUSE_S)
    return _carry_on_in(free_name(path), connection)


def _carry_on_in(new: Path, connection: sqlite3.Connection) -> tuple[Path, sqlite3.Connection, SessionLock]:
    lock = take_lock(new)
    try:
        _copy_to(new, connection)
        return new, _write_ahead(new), lock
    except BaseException:
        lock.release(finished=True)
        raise


def _copy_to(new: Path, connection: sqlite3.Connection) -> None:
    draft = draft_beside(new, ".t2h")
    try:
        draft.open("xb").close()
        uri = session_uri(draft, mode="rw")
        with closing(sqlite3.connect(uri, uri=True, isolation_level=None, check_same_thread=False)) as target:
            target.execute("PRAGMA synchronous = FULL")
            connection.backup(target)
        draft.replace(new)
        sync_folder(new.parent)
    except BaseException:
        for part in (draft, *sidecars(draft)):
            with suppress(OSError):
                part.unlink(missing_ok=True)
        raise


def _write_ahead(path: Path) -> sqlite3.Connection:
    connection = connect_writing(path)
    connection.execute("PRAGMA journal_mode = WAL").fetchall()
    return connection


def let_go(path: Path, connection: sqlite3.Connection, wal: FilePlace | None) -> None:
    """End the connection to a file that has gone, and take its second file away: it belongs to no file of that name."""
    second, index, _ = sidecars(path)
    if wal is not None and place_of(second) == wal:
        for part in (second, index):
            with suppress(OSError):
                part.unlink(missing_ok=True)
    with suppress(sqlite3.Error):
        connection.close()
