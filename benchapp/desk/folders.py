"""Folders of files that appear whole or not at all, and never hold the files of two sessions."""

import ctypes
import os
import shutil
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path

from benchapp.desk.names import shown
from benchapp.desk.outputs import check_name, disk_trouble
from benchapp.records.errors import OutputExists, WrongCall
from benchapp.sessions.drafts import draft_beside
from benchapp.sessions.flushing import sync_folder

Writers = Sequence[tuple[str, Callable[[Path], None]]]
_AT_CWD, _EXCHANGE = -100, 2  # linux/fcntl.h AT_FDCWD, linux/fs.h RENAME_EXCHANGE


def check_folder(folder: Path, *, force: bool) -> None:
    """Raise what stands in the way of writing into a folder that is new, or empty, or may be written over."""
    check_name(folder)
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


def write_folder(folder: Path, writers: Writers, *, force: bool, stale: Callable[[Path], Sequence[str]]) -> None:
    """Write named files into a folder: all of them, or none.

    writers holds (file name, what writes that file to the path it is given); stale tells the names in a folder that
    belong to what was written there before, the one that tells so first. The new folder is made beside the old one,
    with everything of others in it, and takes its place in one step. Where that cannot be (a folder in the folder, the
    folder one stands in, a folder above that may not be written), the old files go before the new ones come: killed in
    between, some are missing, but never are there files of both.
    """
    check_folder(folder, force=force)
    place = folder.resolve() if folder.exists() else folder.absolute()
    try:
        if not place.is_dir():
            _write_fresh(place, writers)
        elif not _swapped(place, writers, stale(place)):
            _replace_inside(place, writers, stale(place))
    except OSError as error:
        raise disk_trouble(error, folder) from error


def _fill(draft: Path, writers: Writers) -> None:
    for name, write in writers:
        write(draft / name)
        with (draft / name).open("rb") as written:
            os.fsync(written.fileno())
    sync_folder(draft)


def _write_fresh(folder: Path, writers: Writers) -> None:
    draft = draft_beside(folder)
    try:
        draft.mkdir()
        _fill(draft, writers)
        draft.rename(folder)
        sync_folder(folder.parent)
    finally:
        shutil.rmtree(draft, ignore_errors=True)


def _swapped(folder: Path, writers: Writers, stale: Sequence[str]) -> bool:
    """Return whether the folder could be replaced in one step."""
    ours = {*stale, *(name for name, _ in writers)}
    others = [entry for entry in folder.iterdir() if entry.name not in ours]
    if folder == Path.cwd() or any(entry.is_symlink() or not entry.is_file() for entry in others):
        return False
    draft = draft_beside(folder)
    try:
        draft.mkdir()
        for entry in others:
            os.link(entry, draft / entry.name)
        shutil.copystat(folder, draft)
    except OSError:
        shutil.rmtree(draft, ignore_errors=True)
        return False
    try:
        _fill(draft, writers)
        return _exchange(draft, folder)
    finally:
        shutil.rmtree(draft, ignore_errors=True)


def _exchange(one: Path, other: Path) -> bool:
    """Return whether two folders could take each other's names in one step (Linux only)."""
    if not sys.platform.startswith("linux"):
        return False
    rename = getattr(ctypes.CDLL(None, use_errno=True), "renameat2", None)
    if rename is None or rename(_AT_CWD, os.fsencode(one), _AT_CWD, os.fsencode(other), _EXCHANGE):
        return False
    sync_folder(other.parent)
    return True


def _replace_inside(folder: Path, writers: Writers, stale: Sequence[str]) -> None:
    draft = draft_beside(folder / "draft")
    try:
        draft.mkdir()
        _fill(draft, writers)
        for name in reversed(dict.fromkeys((*stale, *(name for name, _ in writers)))):
            with suppress(FileNotFoundError):
                (folder / name).unlink()
        for name, _ in writers:
            (draft / name).replace(folder / name)
        sync_folder(folder)
    finally:
        shutil.rmtree(draft, ignore_errors=True)
