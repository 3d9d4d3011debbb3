"""Drafts: files under names of their own beside what they are to become, and what kills left of them.

A start of the program removes those that nothing touched for a day.
"""

import os
import re
import secrets
import shutil
import stat
from contextlib import suppress
from pathlib import Path

from benchapp.sessions.lock import is_held

_NAME = re.compile(r"\.benchapp-[0-9a-f]{12}\.(part|t2h)(-wal|-shm|-journal|\.lock)?")
OLD_S = 86_400
"""A draft that nothing touched for a day was left by something that was killed: a living one is gone within minutes."""


def draft_beside(path: Path, ending: str = ".part") -> Path:
    """Return an unused, short name in the same folder; ending is .part or .t2h."""
    return path.absolute().parent / f".benchapp-{secrets.token_hex(6)}{ending}"


def remove_left_drafts(folder: Path, *, now_s: float) -> int:
    """Remove the drafts in a folder that nothing touched for a day; return how many were removed.

    now_s : the time of day [s since 1970]; drafts of the future, and those being written, stay
    """
    return sum(_removed(path) for path in _drafts(folder) if _is_old(path, now_s))


def _drafts(folder: Path) -> list[Path]:
    try:
        return [folder / name for name in sorted(os.listdir(folder)) if _NAME.fullmatch(name)]
    except OSError:
        return []


def _is_old(path: Path, now_s: float) -> bool:
    session = path.with_name(path.name[: len(".benchapp-") + 16])  # without what SQLite puts beside it
    try:
        facts = path.lstat()
        inside = [part.lstat() for part in path.iterdir()] if stat.S_ISDIR(facts.st_mode) else []
    except OSError:
        return False
    touched_s = max([facts.st_mtime, *(min(part.st_mtime, part.st_ctime) for part in inside)])
    return now_s - touched_s > OLD_S and not is_held(session)


def _removed(path: Path) -> bool:
    with suppress(OSError):
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path)
        else:
            path.unlink()
        return True
    return False
