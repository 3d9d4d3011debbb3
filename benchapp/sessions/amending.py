"""Entries added to the log of a closed session: those outside the evidence, and nothing else."""

import sqlite3
from collections.abc import Iterable
from contextlib import closing
from pathlib import Path

from benchapp.records.errors import WrongCall, WrongInput
from benchapp.records.events import Event
from benchapp.sessions.beginning import LEAST_ROOM
from benchapp.sessions.connecting import connect_writing, disk_trouble
from benchapp.sessions.hashing import HASHED_EVENTS
from benchapp.sessions.lock import take_lock
from benchapp.sessions.naming import shown_name
from benchapp.sessions.opening import open_session
from benchapp.sessions.reading import refuse_foreign_journal
from benchapp.sessions.rows import put_event, transaction
from benchapp.sessions.texts import check_storable


def append_events(path: Path, events: Iterable[Event]) -> None:
    """Add bench fields, notes, safety and put-back answers, drops or undrops to a closed session, all or none.

    The evidence hash stays what it was. Raises WrongCall for an entry that is evidence, WrongInput for a session that
    was not closed, SessionBusy while it is being written, DiskTrouble where it cannot be written, and as
    open_session does.
    """
    entries = list(events)
    evidence = [entry.kind.value for entry in entries if entry.kind in HASHED_EVENTS]
    if evidence:
        raise WrongCall(f"A closed session takes no {evidence[0]}: it is evidence, recorded only while it happens.")
    for entry in entries:
        check_storable(entry)
    lock = take_lock(path)
    closed = False
    try:
        refuse_foreign_journal(path)
        closed = open_session(path, own_lock=True).closed
        if not closed:
            raise WrongInput(f"{shown_name(path)} was stopped early. Open it once to close it, then try again.")
        _append(path, entries)
    finally:
        lock.release(finished=closed)


def _append(path: Path, entries: list[Event]) -> None:
    try:
        with closing(connect_writing(path)) as connection, transaction(connection):
            for entry in entries:
                put_event(connection, entry)
    except sqlite3.Error as error:
        raise disk_trouble(error, path, kept="The session is as it was before.", needed_bytes=LEAST_ROOM) from error
