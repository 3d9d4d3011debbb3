"""A new session file put where another session may lie: the old one whole or the new one, whenever it is killed.

SQLite plays NAME-wal and NAME-journal back into whatever is called NAME, whosever they are. So what an old session
left beside itself is folded into it first, which loses nothing, and nothing of others is touched.
"""

import sqlite3
from contextlib import closing, suppress
from pathlib import Path

from benchapp.records.errors import BenchError, OutputExists, WrongCall
from benchapp.sessions.connecting import connect_writing
from benchapp.sessions.drafts import draft_beside
from benchapp.sessions.flushing import sync_folder
from benchapp.sessions.lock import note_beside
from benchapp.sessions.naming import shown_folder, shown_name, sidecars
from benchapp.sessions.opening import open_session
from benchapp.sessions.schema import APPLICATION_ID

_WAL = (bytes.fromhex("377f0682"), bytes.fromhex("377f0683"))
_INDEX = ((3_007_000).to_bytes(4, "little"), (3_007_000).to_bytes(4, "big"), bytes(4))
_JOURNAL = (bytes.fromhex("d9d505f9"), bytes(4))
_BEGINNINGS = (_WAL, _INDEX, _JOURNAL)


def _begins(path: Path, count: int) -> bytes | None:
    """Return how a file begins, None where there is none."""
    try:
        with path.open("rb") as file:
            return file.read(count)
    except FileNotFoundError:
        return None
    except OSError:
        return b"?"


def strangers_beside(path: Path) -> list[Path]:
    """Return the files that would be taken for parts of a session at path and are none."""
    head = _begins(path, 100)
    session = head is None or int.from_bytes(head[68:72], "big") == APPLICATION_ID
    found = []
    for part, beginnings in zip(sidecars(path), _BEGINNINGS, strict=True):
        begin = _begins(part, 4)
        if begin is not None and not (session and (not begin or begin in beginnings)):
            found.append(part)
    return found


def check_way(path: Path, *, force: bool) -> None:
    """Raise WrongCall or OutputExists where a session at path would take files with it that lie there."""
    for part in strangers_beside(path):
        raise WrongCall(
            f"{shown_name(part)} in {shown_folder(part)} would be taken for a part of the session "
            f"{shown_name(path)}. Choose another name, or move that file away."
        )
    if force or path.exists():
        return
    for part in sidecars(path):
        if part.exists() and part.stat().st_size:
            raise OutputExists(
                f"{shown_name(part)} is there already, a part of a session that was called {shown_name(path)}. Choose "
                "another name, or say --force to replace it."
            )


def put_in_place(draft: Path, path: Path) -> None:
    """Give a finished session file its name, the old one's second file gone before; the lock must be held.

    Raises WrongCall where what lies beside it is not a session's, OSError.
    """
    check_way(path, force=True)
    _fold(path)
    aside: list[tuple[Path, Path]] = []
    try:
        for part in sidecars(path):
            if part.exists():  # damaged, or of a session that is gone: of no use to the old one by itself
                away = draft_beside(path)
                part.replace(away)
                aside.append((part, away))
        draft.replace(path)
    except BaseException:
        for part, away in aside:
            with suppress(OSError):
                away.replace(part)
        raise
    for _, away in aside:
        with suppress(OSError):
            away.unlink(missing_ok=True)
    sync_folder(path.parent)


def _fold(path: Path) -> None:
    """Fold a whole write-ahead file into its session; leave everything as it is where that cannot be done."""
    wal, _, journal = sidecars(path)
    if not path.exists() or not wal.exists() or journal.exists():
        return
    with suppress(sqlite3.Error, OSError, BenchError):
        session = open_session(path, own_lock=True)
        if session.damage:
            return
        note_beside(path, session.saved, whose=session.head.check)  # for whoever finds it half folded
        with closing(connect_writing(path)) as connection:
            connection.execute("PRAGMA journal_mode = DELETE").fetchall()
