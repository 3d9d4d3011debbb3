"""Lines for people, on stdout and stderr."""

import sys

from benchapp.presentation.ground.cleaning import message_line
from benchapp.records.errors import BenchError

_LONGEST_LINE = 2000


def one_line(text: str) -> str:
    """Return a text as one line without signs that cannot be seen; line breaks become blanks."""
    return message_line(text, limit=_LONGEST_LINE)


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
