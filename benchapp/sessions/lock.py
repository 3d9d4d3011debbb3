"""One writer a session: an operating-system lock on a file beside it, gone with the process that holds it.

The lock file also tells how far the session was saved. It stays where its writer was killed, so that what is missing
of the session by then can be told to the record. Layout from byte 16 on, big-endian: "T2hK", the check of whose
session it is, records saved, last stamp saved [ns], CRC-32 of these.
"""

import os
import struct
import sys
import time
import zlib
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from benchapp.records.errors import DiskTrouble, SessionBusy
from benchapp.sessions.flushing import sync_folder
from benchapp.sessions.naming import reason, shown_name

_TRIES = 5
_PAUSE_S = 0.01  # whoever only asks whether a session is held has it locked for microseconds
_NOTE_AT = 16  # Windows locks the first bytes against reading too
_NOTE = struct.Struct(">4sIQq")
_MARK = b"T2hK"


@dataclass(frozen=True, kw_only=True, slots=True)
class Saved:
    """How far a session was saved, as its writer told beside it: records, and the last stamp among them [ns]."""

    records: int
    last_ns: int


def lock_path(path: Path) -> Path:
    """Return the lock file of a session."""
    return path.with_name(path.name + ".lock")


def _try_lock(handle: int, *, shared: bool) -> bool:
    if sys.platform == "win32":
        import msvcrt  # noqa: PLC0415 - only there on Windows

        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True
    import fcntl  # noqa: PLC0415 - not there on Windows

    try:
        fcntl.flock(handle, (fcntl.LOCK_SH if shared else fcntl.LOCK_EX) | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


def _is_still(handle: int, path: Path) -> bool:
    """Return whether the open file is the one at that name: its last holder may just have removed it."""
    try:
        there = path.stat()
    except FileNotFoundError:
        return False
    here = os.fstat(handle)
    return (here.st_dev, here.st_ino) == (there.st_dev, there.st_ino)


class SessionLock:
    """A held lock. It ends by release or with the process, however that ends."""

    def __init__(self, path: Path, handle: int) -> None:
        self._path = path
        self._handle: int | None = handle
        self._stays = os.fstat(handle).st_size > 0

    def tell(self, saved: Saved, *, whose: int, flushed: bool = False) -> None:
        """Note beside the session how far it is saved; a disk that refuses costs the note and nothing else.

        flushed : have it put on the disk too. After the power went an old note is there then: it never says too much.
        """
        if self._handle is None:
            return
        with suppress(OSError):
            os.lseek(self._handle, _NOTE_AT, os.SEEK_SET)
            os.write(self._handle, _note(saved, whose))
            if flushed:
                os.fsync(self._handle)
                sync_folder(self._path.parent)

    def release(self, *, finished: bool = False) -> None:
        """Let go and remove the lock file; a second call does nothing.

        A note that a killed writer left stays where it is until the session is finished.
        """
        handle, self._handle = self._handle, None
        if handle is None:
            return
        if finished or not self._stays:
            with suppress(OSError):  # a name that stays behind locks nobody out
                self._path.unlink()
        os.close(handle)

    def leave(self) -> None:
        """Let go and leave the lock file, with its note if it has one: by it a session that was not closed is found."""
        self._stays = True
        self.release()


def take_lock(session: Path) -> SessionLock:
    """Return the lock of a session, taken over from a process that was killed.

    Raises SessionBusy while another writer holds it, DiskTrouble where the folder cannot be written.
    """
    path = lock_path(session)
    for _ in range(_TRIES):
        try:
            handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
        except OSError as error:
            raise DiskTrouble(
                f"Cannot write beside {shown_name(session)}: {reason(error)}. "
                "Choose a folder that exists and that you may write to."
            ) from error
        if _try_lock(handle, shared=False) and _is_still(handle, path):
            return SessionLock(path, handle)
        os.close(handle)
        time.sleep(_PAUSE_S)
    raise SessionBusy(
        f"{shown_name(session)} is being written by another program. Stop it there, or choose another name."
    )


def is_held(session: Path) -> bool:
    """Return whether a living process holds the lock of a session."""
    try:
        handle = os.open(lock_path(session), os.O_RDWR if sys.platform == "win32" else os.O_RDONLY)
    except OSError:
        return False
    try:
        return not _try_lock(handle, shared=True)
    finally:
        os.close(handle)


def note_beside(session: Path, saved: Saved, *, whose: int) -> None:
    """Note how far a session is saved beside one whose lock is held already, before it is taken back into one file."""
    with suppress(OSError), lock_path(session).open("r+b") as file:
        file.seek(_NOTE_AT)
        file.write(_note(saved, whose))
        file.flush()
        os.fsync(file.fileno())
    sync_folder(session.parent)


def _note(saved: Saved, whose: int) -> bytes:
    note = _NOTE.pack(_MARK, whose, saved.records, saved.last_ns)
    return note + zlib.crc32(note).to_bytes(4, "big")


def saved_note(session: Path, *, whose: int) -> Saved | None:
    """Return how far a session's writer said it was saved, None where nothing says so of this very session."""
    try:
        with lock_path(session).open("rb") as file:
            file.seek(_NOTE_AT)
            note = file.read(_NOTE.size + 4)
    except OSError:
        return None
    if len(note) < _NOTE.size + 4 or zlib.crc32(note[: _NOTE.size]) != int.from_bytes(note[_NOTE.size :], "big"):
        return None
    mark, owner, records, last_ns = _NOTE.unpack(note[: _NOTE.size])
    return Saved(records=records, last_ns=last_ns) if (mark, owner) == (_MARK, whose) else None
