"""A fresh copy of a session, built row by row from what is whole: to share, to save elsewhere, to trust."""

import sqlite3
from collections.abc import Iterable
from contextlib import closing
from dataclasses import replace
from pathlib import Path

from benchapp.records.errors import DiskTrouble
from benchapp.records.events import Event, EventKind
from benchapp.sessions.beginning import LEAST_ROOM, check_target, draft_session, sidecars
from benchapp.sessions.connecting import connect_writing, disk_trouble
from benchapp.sessions.evidence import missing_stops
from benchapp.sessions.lock import take_lock
from benchapp.sessions.naming import shown_name
from benchapp.sessions.opening import SessionReader, open_session
from benchapp.sessions.rows import put_block, put_event, put_stretch, transaction

_PRIVATE = (EventKind.BENCH, EventKind.NOTE)


def save_copy(path: Path, out: Path, *, without_private: bool = False, force: bool = False) -> str:
    """Return the evidence hash of a closed copy of a session at out; it appears whole or not at all.

    without_private leaves out what is on the bench, the notes and the texts of marks: the hash stays the same.
    Blocks that are damaged are left out and stay known as lost; the others lie place by place, so that the moments at
    which a session was saved leave no trace. A session that was stopped early is closed in the copy. Raises as
    open_session does, OutputExists, SessionBusy and DiskTrouble for out.
    """
    session = open_session(path)
    check_target(out, force=force)
    lock = take_lock(out)
    try:
        _write_copy(session, out, without_private=without_private)
    finally:
        lock.release()
    return session.evidence_hash


def _write_copy(session: SessionReader, out: Path, *, without_private: bool) -> None:
    code = session.head.evidence_hash or session.evidence_hash
    try:
        draft = draft_session(out, replace(session.head, evidence_hash=code))
        try:
            _fill(draft, session, without_private=without_private)
            for sidecar in sidecars(out):
                sidecar.unlink(missing_ok=True)
            draft.replace(out)
        finally:
            draft.unlink(missing_ok=True)
    except sqlite3.Error as error:
        raise disk_trouble(error, out, kept="No copy was made.", needed_bytes=LEAST_ROOM) from error
    except OSError as error:
        raise DiskTrouble(
            f"Cannot write {shown_name(out)}: {error.strerror or error}. Choose another folder."
        ) from error


def _fill(draft: Path, session: SessionReader, *, without_private: bool) -> None:
    stops = [] if session.closed else missing_stops(session.events, session)
    events: Iterable[Event] = (*session.events, *stops)
    if without_private:
        events = _shareable(events)
    with closing(connect_writing(draft)) as connection, transaction(connection):
        for stretch in session.stretches:
            put_stretch(connection, stretch, session.descriptors[stretch.number])
        for row, block in enumerate(session.packed, start=1):
            put_block(connection, row, block)
        for event in events:
            put_event(connection, event)


def _shareable(events: Iterable[Event]) -> list[Event]:
    kept = [event for event in events if event.kind not in _PRIVATE]
    return [replace(event, detail={}) if event.kind is EventKind.MARK else event for event in kept]
