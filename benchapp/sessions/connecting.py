"""Connections to a session's database: the one that writes, and those that trust nothing."""

import os
import sqlite3
import time
from pathlib import Path
from urllib.parse import quote_from_bytes

from benchapp.records.errors import DiskTrouble
from benchapp.sessions.naming import shown_name
from benchapp.sessions.schema import TABLES

_LONGEST_CELL = 16 << 20  # blocks stay under 100 kB; a note may be long
_BUSY_S = 2.0
_SYNC = "FULL"
_STEPS_BETWEEN_LOOKS = 5_000
_READABLE = TABLES | {"sqlite_master", "sqlite_schema"}
_PRAGMAS = frozenset({"quick_check", "application_id", "user_version", "page_size", "page_count"})
_FULL = ("SQLITE_FULL",)


def session_uri(path: Path, **options: object) -> str:
    """Return the address under which SQLite opens exactly this file, whatever characters its name holds."""
    query = "&".join(f"{key}={value}" for key, value in options.items())
    return f"file://{quote_from_bytes(os.fsencode(path.absolute()))}?{query}"


def connect_writing(path: Path) -> sqlite3.Connection:
    """Return a connection that may write an existing session. Raises sqlite3.Error."""
    uri = session_uri(path, mode="rw")
    connection = sqlite3.connect(uri, uri=True, timeout=_BUSY_S, isolation_level=None, check_same_thread=False)
    connection.execute("PRAGMA trusted_schema = OFF")
    connection.execute(f"PRAGMA synchronous = {_SYNC}")
    return connection


def _authorize(action: int, first: str | None, second: str | None, _base: str | None, _via: str | None) -> int:
    """Return SQLITE_OK for reading a session's own tables, SQLITE_DENY for all else."""
    if action in (sqlite3.SQLITE_SELECT, sqlite3.SQLITE_TRANSACTION):
        return sqlite3.SQLITE_OK
    if action == sqlite3.SQLITE_READ and first in _READABLE:
        return sqlite3.SQLITE_OK
    if action == sqlite3.SQLITE_PRAGMA and first in _PRAGMAS and second is None:
        return sqlite3.SQLITE_OK
    return sqlite3.SQLITE_DENY


def connect_untrusting(path: Path, *, mode: str, immutable: bool, limit_s: float) -> sqlite3.Connection:
    """Return a connection that can only read a session's tables, bounded in time and memory. Raises sqlite3.Error.

    mode is "ro", or "rw" for a private copy whose journal must be played back first.
    After limit_s every statement ends with SQLITE_INTERRUPT.
    """
    options = {"mode": mode, "immutable": 1} if immutable else {"mode": mode}
    uri = session_uri(path, **options)
    connection = sqlite3.connect(uri, uri=True, timeout=_BUSY_S, isolation_level=None, check_same_thread=False)
    connection.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, _LONGEST_CELL)
    connection.setlimit(sqlite3.SQLITE_LIMIT_SQL_LENGTH, 100_000)
    connection.setlimit(sqlite3.SQLITE_LIMIT_ATTACHED, 0)
    connection.setlimit(sqlite3.SQLITE_LIMIT_TRIGGER_DEPTH, 1)
    connection.text_factory = lambda text: text.decode("utf-8", "replace")
    deadline = time.monotonic() + limit_s
    connection.set_progress_handler(lambda: time.monotonic() > deadline, _STEPS_BETWEEN_LOOKS)
    for pragma in ("trusted_schema = OFF", "cell_size_check = ON", "mmap_size = 0"):
        connection.execute(f"PRAGMA {pragma}")
    connection.set_authorizer(_authorize)
    return connection


def error_name(error: Exception) -> str:
    """Return SQLite's name of an error, or "" where Python raised it."""
    return getattr(error, "sqlite_errorname", "") or ""


def disk_trouble(error: sqlite3.Error, path: Path, *, kept: str, needed_bytes: int) -> DiskTrouble:
    """Return what to tell a person when the disk refused to write."""
    name = shown_name(path)
    if error_name(error) in _FULL:
        room = max(1, -(-needed_bytes // 1_000_000))
        what = f"The disk is full: no room to go on writing {name}. Make at least {room} MB of room in its folder."
    elif error_name(error).startswith(("SQLITE_READONLY", "SQLITE_CANTOPEN", "SQLITE_PERM")):
        what = f"{name} cannot be written: its folder or the file may only be read. Choose another folder."
    elif error_name(error).startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
        what = f"{name} is in use by another program and cannot be written. Close it there, then try again."
    else:
        what = f"The disk failed while {name} was being written. Check the disk, or choose another one."
    return DiskTrouble(f"{what} {kept}".strip(), kept=kept)
