"""Names for new sessions and reports: nothing that is there is ever written over."""

from datetime import datetime
from pathlib import Path

from benchapp.presentation.ground.cleaning import clean

ENDING = ".t2h"
_LONGEST_NAME = 60
_NOT_IN_NAMES = frozenset('<>:"/\\|?*%')


def free_session_path(folder: Path, *, name: str, now: datetime) -> Path:
    """Return a path in the folder at which there is nothing yet."""
    stem = f"{now:%Y-%m-%d %H.%M.%S} {file_words(name)}".strip()
    path = folder / f"{stem}{ENDING}"
    number = 2
    while path.exists():
        path = folder / f"{stem} {number}{ENDING}"
        number += 1
    return path


def free_report_folder(folder: Path, session: Path) -> Path:
    """Return a folder for a session's report at which there is nothing yet."""
    path = folder / f"{session.stem} report"
    number = 2
    while path.exists():
        path = folder / f"{session.stem} report {number}"
        number += 1
    return path


def file_words(name: str) -> str:
    """Return a name as part of a file name: one line, no character a disk refuses, not too long."""
    shown = "".join(" " if character in _NOT_IN_NAMES else character for character in clean(name))
    return " ".join(shown.split())[:_LONGEST_NAME].strip(" .")
