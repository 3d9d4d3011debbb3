"""One writer a session: an operating-system lock on a file beside it, gone with the process that holds it."""

import os
import sys
import time
from contextlib import suppress
from pathlib import Path

from benchapp.records.errors import DiskTrouble, SessionBusy
from benchapp.sessions.naming import shown_name

_TRIES = 5
_PAUSE_S = 0.01  # whoever only asks whether a session is held has it locked for microseconds


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

    def release(self) -> None:
        """Let go and remove the lock file; a second call does nothing."""
        handle, self._handle = self._handle, None
        if handle is None:
            return
        with suppress(OSError):  # a name that stays behind locks nobody out
            self._path.unlink()
        os.close(handle)


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
                f"Cannot write beside {shown_name(session)}: {error.strerror}. "
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
