"""A session that was stopped early, finished: its open runs cut short, its evidence hash kept, one file again."""

import sqlite3
from dataclasses import replace
from pathlib import Path

from benchapp.records.errors import DamagedEvidence
from benchapp.sessions.beginning import LEAST_ROOM, back_to_one_file
from benchapp.sessions.connecting import connect_writing, disk_trouble
from benchapp.sessions.evidence import missing_stops
from benchapp.sessions.lock import take_lock
from benchapp.sessions.naming import shown_name
from benchapp.sessions.opening import SessionReader, open_session
from benchapp.sessions.reading import refuse_foreign_journal
from benchapp.sessions.rows import put_event, put_head, transaction


def recover(path: Path) -> str:
    """Return what was kept of a session that was stopped early, and close it in its place; "" if it was closed.

    Everything is one transaction: killed at any moment, the session is as it was or closed, and can be recovered
    again. Raises SessionBusy while it is still being recorded, DamagedEvidence where parts are damaged (it stays as
    it is and can be read), DiskTrouble where it cannot be written.
    """
    lock = take_lock(path)
    finished = False
    try:
        refuse_foreign_journal(path)
        session = open_session(path, own_lock=True)
        if session.damage:
            lock.leave()
            # Closing it in place would make a loss final: with its second file found, it may be whole again.
            raise DamagedEvidence(
                f"{shown_name(path)} is damaged and was not closed, so that nothing more is lost: {session.damage[0]}"
            )
        # for whoever finds it half taken back into one file
        lock.tell(session.saved, whose=session.head.check, flushed=True)
        _finish(path, session)
        finished = True
        return session.kept
    finally:
        lock.release(finished=finished)


def _finish(path: Path, session: SessionReader) -> None:
    try:
        connection = connect_writing(path)
        try:
            if not session.closed:
                with transaction(connection):
                    for stop in missing_stops(session.events, session):
                        put_event(connection, stop)
                    put_head(connection, replace(session.head, evidence_hash=session.evidence_hash))
        finally:
            back_to_one_file(connection)
    except sqlite3.Error as error:
        raise disk_trouble(error, path, kept=f"It {session.kept}.", needed_bytes=LEAST_ROOM) from error
