"""Strangers' texts and paths fit for one line of a message."""

from pathlib import Path

from benchapp.presentation.ground.cleaning import coded

_LONGEST = 120


def shown(text: str | Path) -> str:
    """Return a text in quotes, on one line, in reading order, clipped; what cannot be seen is written as its code."""
    signs = str(text)
    clipped = signs if len(signs) <= _LONGEST else signs[: _LONGEST // 2] + "…" + signs[-_LONGEST // 2 :]
    return f"'{coded(clipped)}'"
