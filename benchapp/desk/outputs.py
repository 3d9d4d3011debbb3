"""Files that appear whole or not at all.

No call writes over a file that it reads, not even with --force, and none replaces a session that is being recorded:
every replacement holds the session's lock. What SQLite left beside a session is folded into it before it is replaced
(`sessions.replacing`); files of others that SQLite would take for parts of a session stop the call. Beside every
other output nothing is touched.
"""

import errno
import os
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path

from benchapp.desk.names import shown
from benchapp.records.errors import BenchError, DiskTrouble, OutputExists, WrongCall
from benchapp.sessions.drafts import draft_beside
from benchapp.sessions.flushing import sync_folder
from benchapp.sessions.lock import lock_path, take_lock
from benchapp.sessions.naming import reason, sidecars
from benchapp.sessions.replacing import check_way, put_in_place

_BAD_NAMES = {errno.ENAMETOOLONG, errno.EINVAL, errno.EILSEQ}
_SESSION = ".t2h"
_BESIDE = ("-wal", "-shm", "-journal", ".lock")
_NOTHING_WRITTEN = "Nothing was written."


def disk_trouble(error: OSError, path: Path, *, kept: str = _NOTHING_WRITTEN) -> BenchError:
    """Return the error that says what the disk refused, where, and what to do."""
    if error.errno in _BAD_NAMES:
        return WrongCall(f"No file can be named {shown(path.name)} here. Choose a shorter, plain name.", kept=kept)
    what = reason(error)
    if error.errno == errno.ENOSPC:
        return DiskTrouble(f"The disk is full: {shown(path)} could not be written. Make room and try again.", kept=kept)
    return DiskTrouble(f"Could not write {shown(path)}: {what}. Choose another folder and try again.", kept=kept)


def check_target(path: Path, *, force: bool, inputs: Sequence[Path] = (), session: bool = False) -> None:
    """Raise what stands in the way of writing a file, or a session, at path: OutputExists or WrongCall.

    inputs are the files the same call reads: none of them is ever written over, whatever was said.
    """
    check_name(path)
    _check_place(path, force=force, inputs=inputs)
    if session:
        check_way(path, force=force)
    elif any(is_same_file(path, part) for other in _sessions_of(path) for part in parts_of(other)):
        raise WrongCall(f"{shown(path)} is a part of a session that lies there. Choose another name.")


def parts_of(session: Path) -> tuple[Path, ...]:
    """Return the names of the files a session may keep beside itself while it is written."""
    return (*sidecars(session), lock_path(session))


def _sessions_of(path: Path) -> list[Path]:
    """Return the sessions that are there and of which a file of that name would be a part."""
    names = [path.name[: -len(ending)] for ending in _BESIDE if path.name.lower().endswith(ending)]
    return [path.with_name(name) for name in names if Path(name).suffix.lower() == _SESSION if _is_there(path, name)]


def _is_there(path: Path, name: str) -> bool:
    try:
        return path.with_name(name).exists()
    except (OSError, ValueError):
        return False


def is_same_file(one: Path, other: Path) -> bool:
    """Return whether two paths lead to one file, there or not yet, however they are spelt."""
    if _is_same(one, other):
        return True
    try:
        here, there = one.resolve(), other.resolve()
    except (OSError, ValueError, RuntimeError):
        return False
    return here.name.casefold() == there.name.casefold() and (
        here.parent == there.parent or _is_same(here.parent, there.parent)
    )


def _check_place(path: Path, *, force: bool, inputs: Sequence[Path]) -> None:
    for other in inputs:
        if _is_same(path, other):
            raise WrongCall(f"{shown(path)} is read by this call and cannot be written by it. Choose another name.")
    try:
        if path.is_dir():
            raise WrongCall(f"{shown(path)} is a folder; the name of a file was expected.")
        taken = path.exists() or path.is_symlink()
        folder = path.absolute().parent
        there = folder.is_dir()
    except (OSError, ValueError) as error:
        raise WrongCall(f"No file can be named {shown(path.name)} here. Choose a shorter, plain name.") from error
    if not there:
        raise WrongCall(f"There is no folder {shown(folder)} to write into. Make it, or choose another.")
    if taken and not force:
        raise OutputExists(f"{shown(path)} is already there. Choose another name, or say --force to replace it.")


def _is_same(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except (OSError, ValueError):
        return False


def check_name(path: Path) -> None:
    """Raise WrongCall for a name with a sign no file can have."""
    if "\0" in str(path):  # asked whether it exists, Python says no instead of refusing
        raise WrongCall(f"Nothing can be named {shown(path.name)}. Choose a plain name.")


@contextmanager
def replacing(path: Path, *, force: bool, session: bool = False, inputs: Sequence[Path] = ()) -> Iterator[Path]:
    """Give a name to write to; at the end it becomes path, or after an error nothing is left of it.

    session : what is written is a session: what an old one at path left beside itself is folded into that before, or it
        would be played back into the new file; beside every other file nothing is touched
    A session that is being recorded at path is never replaced (SessionBusy).
    """
    check_target(path, force=force, inputs=inputs, session=session)
    draft = draft_beside(path, ".t2h" if session else ".part")
    try:
        with held(path):
            yield draft
            if session:
                put_in_place(draft, path)
            else:
                draft.replace(path)
                sync_folder(path.absolute().parent)
    except OSError as error:
        raise disk_trouble(error, path) from error
    finally:
        for left in (draft, *sidecars(draft)):
            with suppress(OSError):  # where nothing can be written nothing is left either
                left.unlink(missing_ok=True)


@contextmanager
def held(path: Path) -> Iterator[None]:
    """Hold a session's lock while its file is replaced; a file of another kind needs none."""
    if not (path.suffix.lower() == _SESSION or path.exists()):
        yield
        return
    lock = take_lock(path)
    replaced = False
    try:
        yield
        replaced = True
    finally:
        lock.release(finished=replaced)


def write_whole(path: Path, chunks: Iterable[bytes], *, force: bool, inputs: Sequence[Path] = ()) -> None:
    """Write a file, whole or not at all. Raises OutputExists, WrongCall or DiskTrouble."""
    with replacing(path, force=force, inputs=inputs) as draft, draft.open("xb") as file:
        for chunk in chunks:
            file.write(chunk)
        file.flush()
        os.fsync(file.fileno())
