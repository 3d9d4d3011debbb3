"""How a session file begins, and how it becomes a single file again."""

import sqlite3
from contextlib import suppress
from pathlib import Path

from benchapp.records.errors import DiskTrouble, OutputExists, WrongCall
from benchapp.sessions.connecting import connect_writing, disk_trouble
from benchapp.sessions.drafts import draft_beside
from benchapp.sessions.lock import Saved, SessionLock
from benchapp.sessions.naming import reason, shown_name, sidecars
from benchapp.sessions.replacing import check_way, put_in_place
from benchapp.sessions.rows import Head, put_head, transaction
from benchapp.sessions.schema import create_tables

LEAST_ROOM = 20_000_000
"""Bytes asked for when a disk is full and no rate is known yet."""


def back_to_one_file(connection: sqlite3.Connection) -> bool:
    """Fold the write-ahead file back in and end the connection; return whether the session is a single file again.

    Where another program still reads, the sidecar stays until the last one closes: nothing is lost by it.
    """
    mode = ""
    with suppress(sqlite3.OperationalError):
        mode = str(connection.execute("PRAGMA journal_mode = DELETE").fetchone()[0])
    connection.close()
    return mode == "delete"


def draft_session(path: Path, head: Head) -> Path:
    """Return a new, closed session file without evidence, under a name of its own beside the path."""
    draft = draft_beside(path, ".t2h")
    try:
        draft.open("xb").close()
        connection = connect_writing(draft)
        try:
            create_tables(connection)
            with transaction(connection):
                put_head(connection, head)
        finally:
            connection.close()
    except BaseException:
        for part in (draft, *sidecars(draft)):
            with suppress(OSError):
                part.unlink(missing_ok=True)
        raise
    return draft


def _is_there(path: Path) -> bool:
    """Return whether anything has that name, a link that leads nowhere included. Raises OSError, ValueError."""
    try:
        path.lstat()
    except (FileNotFoundError, NotADirectoryError):
        return False
    return True


def check_target(path: Path, *, force: bool) -> None:
    """Raise WrongCall, DiskTrouble or OutputExists where a new session cannot be put at path."""
    try:
        there = _is_there(path)
        folder = path.parent.is_dir()
    except (OSError, ValueError) as error:
        why = reason(error).lower() if isinstance(error, OSError) else "a sign in it stands in no name"
        raise WrongCall(f"No file can have the name {shown_name(path)}: {why}. Choose a shorter, plain one.") from error
    if path.is_dir():
        raise WrongCall(f"{shown_name(path)} is a folder. Give the name of a file in it.")
    if not folder:
        raise DiskTrouble(f"There is no folder for {shown_name(path)}. Make the folder first, or choose another.")
    if there and not force:
        raise OutputExists(f"{shown_name(path)} is already there. Choose another name, or say --force to replace it.")
    check_way(path, force=force)


def begin_session(path: Path, head: Head, lock: SessionLock) -> sqlite3.Connection:
    """Return the writing connection of a new session, in write-ahead mode; the file appears whole or not at all.

    lock is the session's own. Raises DiskTrouble where the folder cannot be written.
    """
    try:
        draft = draft_session(path, head)
        try:
            put_in_place(draft, path)
        except BaseException:
            draft.unlink(missing_ok=True)
            raise
        lock.tell(Saved(records=0, last_ns=0), whose=head.check, flushed=True)
        connection = connect_writing(path)
        connection.execute("PRAGMA journal_mode = WAL").fetchall()
    except sqlite3.Error as error:
        raise disk_trouble(error, path, kept="Nothing was recorded yet.", needed_bytes=LEAST_ROOM) from error
    except OSError as error:
        raise DiskTrouble(
            f"Cannot write {shown_name(path)}: {reason(error)}. Choose a folder that you may write to."
        ) from error
    return connection
