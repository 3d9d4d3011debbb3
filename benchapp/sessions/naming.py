"""File names as they may be shown: on one line, in reading order, of bearable length."""

import unicodedata
from pathlib import Path

_LONGEST = 80
_SIDECARS = ("-wal", "-shm", "-journal")


def sidecars(path: Path) -> tuple[Path, ...]:
    """Return the names of the files SQLite may keep beside a session."""
    return tuple(path.with_name(path.name + ending) for ending in _SIDECARS)


def shown_folder(path: Path) -> str:
    """Return the folder of a path for a message, cleaned like a name, its end kept where it is long."""
    folder = _cleaned(str(path.absolute().parent))
    return folder if len(folder) <= 2 * _LONGEST else f"…{folder[1 - 2 * _LONGEST :]}"


def _cleaned(text: str) -> str:
    return "".join("\N{REPLACEMENT CHARACTER}" if unicodedata.category(sign)[0] == "C" else sign for sign in text)


def reason(error: OSError) -> str:
    """Return why the system refused something, in its words without a number; where it has none, that it gave none."""
    return error.strerror or "the system gave no reason"


def shown_name(path: Path) -> str:
    """Return the last part of a path for a message: control and direction characters replaced, long names clipped."""
    name = _cleaned(path.name)
    return name if len(name) <= _LONGEST else f"{name[: _LONGEST - 1]}…"
