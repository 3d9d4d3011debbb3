"""Strangers' texts and paths fit for one line of a message."""

import unicodedata
from pathlib import Path

_LONGEST = 120
_UNSEEN = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}


def shown(text: str | Path) -> str:
    """Return a text in quotes, on one line, in reading order, clipped; what cannot be seen is written as its code."""
    signs = str(text)
    clipped = signs if len(signs) <= _LONGEST else signs[: _LONGEST // 2] + "…" + signs[-_LONGEST // 2 :]
    visible = "".join(
        sign.encode("unicode_escape").decode() if unicodedata.category(sign) in _UNSEEN else sign for sign in clipped
    )
    return f"'{visible}'"
