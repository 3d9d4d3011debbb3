"""Files moved together, also onto another disk: all of them, or none."""

import errno
import os
import shutil
from contextlib import suppress
from pathlib import Path

from benchapp.sessions.drafts import draft_beside
from benchapp.sessions.flushing import sync_folder


def move_together(parts: list[Path], folder: Path) -> None:
    """Move files into a folder, the last one last; nothing is under its name there before all can be.

    Raises OSError: every file is then where it was, and nothing of them in the folder. Killed in between, each file is
    whole at one of its two places, or at both.
    """
    folder.mkdir(parents=True, exist_ok=True)
    for part in parts:
        if os.path.lexists(folder / part.name):
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(folder / part.name))
    if os.stat(folder).st_dev == os.stat(parts[-1]).st_dev:
        _rename(parts, folder)
    else:
        _copy(parts, folder)
    sync_folder(folder)
    sync_folder(parts[-1].parent)


def _rename(parts: list[Path], folder: Path) -> None:
    moved: list[Path] = []
    try:
        for part in parts:
            part.rename(folder / part.name)
            moved.append(part)
    except OSError:
        for part in reversed(moved):
            (folder / part.name).rename(part)
        raise


def _copy(parts: list[Path], folder: Path) -> None:
    drafts: list[Path] = []
    placed: list[Path] = []
    try:
        for part in parts:
            drafts.append(draft_beside(folder / part.name))
            shutil.copy2(part, drafts[-1])
            with drafts[-1].open("rb") as copy:
                os.fsync(copy.fileno())
        for part, draft in zip(parts, drafts, strict=True):
            draft.rename(folder / part.name)
            placed.append(folder / part.name)
        sync_folder(folder)
        parts[-1].unlink()  # while the file itself is there, it can still be moved with all its parts
    except OSError:
        for path in (*drafts, *placed):
            with suppress(OSError):
                path.unlink(missing_ok=True)
        raise
    for part in parts[:-1]:
        with suppress(OSError):
            part.unlink()
