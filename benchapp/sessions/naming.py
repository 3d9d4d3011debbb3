"""File names as they may be shown: on one line, in reading order, of bearable length."""

import unicodedata
from pathlib import Path

_LONGEST = 80


def shown_name(path: Path) -> str:
    """Return the last part of a path for a message: control and direction characters replaced, long names clipped."""
    name = "".join("\N{REPLACEMENT CHARACTER}" if unicodedata.category(sign)[0] == "C" else sign for sign in path.name)
    return name if len(name) <= _LONGEST else f"{name[: _LONGEST - 1]}…"
