"""Lines for people, on stdout and stderr."""

import sys
import unicodedata

from benchapp.records.errors import BenchError

_UNSEEN = frozenset(("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"))
_LONGEST_LINE = 2000


def one_line(text: str) -> str:
    """Return a text as one line without signs that cannot be seen; line breaks become blanks."""
    flat = " ".join(text.split())
    seen = "".join(
        sign.encode("unicode_escape").decode() if unicodedata.category(sign) in _UNSEEN else sign for sign in flat
    )
    return seen if len(seen) <= _LONGEST_LINE else seen[: _LONGEST_LINE - 1] + "…"


def _ended(sentence: str) -> str:
    text = sentence.strip()
    return text if not text or text[-1] in ".!?…" else f"{text}."


def say_error(error: BenchError) -> None:
    """Say what went wrong, and what was kept, on one line of stderr."""
    kept = "" if error.kept in error.message else error.kept
    parts = (_ended(error.message), _ended(kept))
    print(one_line(f"benchapp: {' '.join(part for part in parts if part)}"), file=sys.stderr)


def say_aside(text: str) -> None:
    """Say something beside the answer, on one line of stderr."""
    print(one_line(f"benchapp: {text}"), file=sys.stderr)


def say(text: str = "") -> None:
    """Say one line of the answer."""
    print(text)
