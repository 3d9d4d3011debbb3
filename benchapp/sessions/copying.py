"""A fresh copy of a session, built row by row from what is whole: to share, to save elsewhere, to trust."""

import sqlite3
from collections.abc import Iterable
from contextlib import closing
from dataclasses import replace
from pathlib import Path

from benchapp.records.errors import DamagedEvidence, DiskTrouble
from benchapp.records.events import Event, EventKind
from benchapp.records.stream import LOST_END, Gap
from benchapp.sessions.beginning import LEAST_ROOM, check_target, draft_session
from benchapp.sessions.blocks import NO_LEAD, Block, BlockKind, Place, pack_gaps
from benchapp.sessions.connecting import connect_writing, disk_trouble
from benchapp.sessions.evidence import missing_stops
from benchapp.sessions.lock import take_lock
from benchapp.sessions.naming import reason, shown_name, sidecars
from benchapp.sessions.opening import SessionReader, open_session
from benchapp.sessions.replacing import put_in_place
from benchapp.sessions.rows import put_block, put_event, put_head, put_stretch, transaction

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
    code = ""
    try:
        code = _write_copy(session, out, without_private=without_private)
        return code
    finally:
        lock.release(finished=bool(code))


def _write_copy(session: SessionReader, out: Path, *, without_private: bool) -> str:
    if session.missing is not None and not session.stretches:
        raise DamagedEvidence(f"{shown_name(session.path)} holds nothing to copy: {session.missing.sentence}")
    code = session.head.evidence_hash or session.evidence_hash
    try:
        draft = draft_session(out, replace(session.head, evidence_hash=code))
        try:
            _fill(draft, session, without_private=without_private)
            if session.missing is not None:  # the gap at its end is evidence too
                code = _close_anew(draft)
            put_in_place(draft, out)
        finally:
            for part in (draft, *sidecars(draft)):
                part.unlink(missing_ok=True)
    except sqlite3.Error as error:
        raise disk_trouble(error, out, kept="No copy was made.", needed_bytes=LEAST_ROOM) from error
    except OSError as error:
        raise DiskTrouble(f"Cannot write {shown_name(out)}: {reason(error)}. Choose another folder.") from error
    return session.evidence_hash if session.missing is None else code


def _close_anew(draft: Path) -> str:
    made = open_session(draft)
    with closing(connect_writing(draft)) as connection, transaction(connection):
        put_head(connection, replace(made.head, evidence_hash=made.evidence_hash))
    return made.evidence_hash


def _fill(draft: Path, session: SessionReader, *, without_private: bool) -> None:
    stops = [] if session.closed else missing_stops(session.events, session)
    events: Iterable[Event] = (*session.events, *stops)
    if without_private:
        events = _shareable(events)
    with closing(connect_writing(draft)) as connection, transaction(connection):
        for stretch in session.stretches:
            put_stretch(connection, stretch, session.descriptors[stretch.number])
        for row, block in enumerate((*session.packed, *_lost_end(session)), start=1):
            put_block(connection, row, block)
        for event in events:
            put_event(connection, event)


def _lost_end(session: SessionReader) -> list[Block]:
    """Return the gap that tells, in a copy, of an end that is missing; nothing where none is."""
    if session.missing is None or not session.stretches:
        return []
    place = Place(stretch=session.stretches[-1].number, kind=BlockKind.GAPS, lead=NO_LEAD)
    number = 1 + max((block.number for block in session.packed if block.place == place), default=-1)
    from_ns, to_ns = session.missing.from_ns, session.missing.to_ns
    return [pack_gaps(place, number, [Gap(leads=(), from_ns=from_ns, to_ns=to_ns or from_ns, cause=LOST_END)])]


def _shareable(events: Iterable[Event]) -> list[Event]:
    kept = [event for event in events if event.kind not in _PRIVATE]
    return [replace(event, detail={}) if event.kind is EventKind.MARK else event for event in kept]
