"""Files and folders that appear whole or not at all."""

import errno
import os
import secrets
import shutil
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path

from benchapp.desk.names import shown
from benchapp.records.errors import BenchError, DiskTrouble, OutputExists, WrongCall
from benchapp.sessions.beginning import sidecars
from benchapp.sessions.lock import take_lock

_BAD_NAMES = {errno.ENAMETOOLONG, errno.EINVAL, errno.EILSEQ}
_SESSION = ".t2h"
_NOTHING_WRITTEN = "Nothing was written."


def disk_trouble(error: OSError, path: Path, *, kept: str = _NOTHING_WRITTEN) -> BenchError:
    """Return the error that says what the disk refused, where, and what to do."""
    if error.errno in _BAD_NAMES:
        return WrongCall(f"No file can be named {shown(path.name)} here. Choose a shorter, plain name.", kept=kept)
    what = error.strerror or type(error).__name__
    if error.errno == errno.ENOSPC:
        return DiskTrouble(f"The disk is full: {shown(path)} could not be written. Make room and try again.", kept=kept)
    return DiskTrouble(f"Could not write {shown(path)}: {what}. Choose another folder and try again.", kept=kept)


def check_target(path: Path, *, force: bool, inputs: Sequence[Path] = ()) -> None:
    """Raise what stands in the way of writing a file at path: OutputExists or WrongCall.

    inputs are the files the same call reads: none of them is ever written over, whatever was said.
    """
    _check_name(path)
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


def _check_name(path: Path) -> None:
    if "\0" in str(path):  # asked whether it exists, Python says no instead of refusing
        raise WrongCall(f"Nothing can be named {shown(path.name)}. Choose a plain name.")


def beside(path: Path, ending: str = ".part") -> Path:
    """Return an unused, short name in the same folder."""
    return path.absolute().parent / f".{secrets.token_hex(6)}{ending}"


@contextmanager
def replacing(path: Path, *, force: bool, ending: str = ".part", inputs: Sequence[Path] = ()) -> Iterator[Path]:
    """Give a name to write to; at the end it becomes path, or after an error nothing is left of it.

    A session that is being recorded at path is never replaced (SessionBusy); what SQLite left beside one that was
    not closed goes with it, or it would be played back into the new file.
    """
    check_target(path, force=force, inputs=inputs)
    draft = beside(path, ending)
    try:
        with held(path):
            yield draft
            for left in sidecars(path):
                left.unlink(missing_ok=True)
            draft.replace(path)
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
    try:
        yield
    finally:
        lock.release()


def write_whole(path: Path, chunks: Iterable[bytes], *, force: bool, inputs: Sequence[Path] = ()) -> None:
    """Write a file, whole or not at all. Raises OutputExists, WrongCall or DiskTrouble."""
    with replacing(path, force=force, inputs=inputs) as draft, draft.open("xb") as file:
        for chunk in chunks:
            file.write(chunk)
        file.flush()
        os.fsync(file.fileno())


def check_folder(folder: Path, *, force: bool) -> None:
    """Raise what stands in the way of writing into a folder that is new, or empty, or may be written over."""
    _check_name(folder)
    try:
        if folder.is_dir():
            if any(folder.iterdir()) and not force:
                raise OutputExists(
                    f"The folder {shown(folder)} is not empty. Choose another, or say --force to write into it."
                )
            return
        taken, parent = folder.exists() or folder.is_symlink(), folder.absolute().parent
        there = parent.is_dir()
    except PermissionError as error:
        raise disk_trouble(error, folder) from error
    except (OSError, ValueError) as error:
        raise WrongCall(f"No folder can be named {shown(folder.name)} here. Choose a shorter, plain name.") from error
    if taken:
        raise OutputExists(f"{shown(folder)} is a file; the name of a folder was expected.")
    if not there:
        raise WrongCall(f"There is no folder {shown(parent)} to make a folder in. Make it, or choose another.")


def write_folder(folder: Path, writers: Sequence[tuple[str, Callable[[Path], None]]], *, force: bool) -> None:
    """Write named files into a folder: all of them, or none.

    writers holds (file name, what writes that file to the path it is given). Files of other names are left alone.
    """
    check_folder(folder, force=force)
    fresh = not folder.is_dir()
    draft = beside(folder) if fresh else folder / f".{secrets.token_hex(6)}.part"
    try:
        draft.mkdir()
        for name, write in writers:
            write(draft / name)
        if fresh:
            draft.rename(folder)
        else:
            for name, _ in writers:
                (draft / name).replace(folder / name)
    except OSError as error:
        raise disk_trouble(error, folder) from error
    finally:
        shutil.rmtree(draft, ignore_errors=True)
