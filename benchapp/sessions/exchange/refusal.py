"""One form for every sentence about a capture that cannot be read."""

import unicodedata

from benchapp.records.errors import WrongInput

_LONGEST_SHOWN = 60


def shown(text: str | bytes) -> str:
    """Return a piece of a file fit for a sentence: quoted, short, with control and bidi characters made visible."""
    if isinstance(text, bytes):
        text = text.decode("utf-8", errors="replace")
    cut = text[:_LONGEST_SHOWN]
    clean = "".join(_visible(letter) for letter in cut)
    return f"'{clean}'" if len(text) <= _LONGEST_SHOWN else f"'{clean}…' ({len(text)} characters)"


def _visible(letter: str) -> str:
    # Cc control, Cf format (bidi marks among them), Co private use, Cs surrogates, Zl and Zp line ends
    hidden = unicodedata.category(letter) in {"Cc", "Cf", "Co", "Cs", "Zl", "Zp"}
    return f"\\u{ord(letter):04x}" if hidden else letter


def listed(names: list[str], *, most: int = 20) -> str:
    """Return names as a list for a sentence, cut after `most`; "nothing" if there are none."""
    if not names:
        return "nothing"
    words = ", ".join(shown(name) for name in names[:most])
    return words if len(names) <= most else f"{words} and {len(names) - most} more"


def refused(file: str, line: int | None, reason: str, *, column: str | None = None) -> WrongInput:
    """Return the error for a place in a file: file, line, column where there is one, and the reason."""
    where = shown(file)
    if line is not None:
        where += f", line {line}"
    if column is not None:
        where += f", column {shown(column)}"
    return WrongInput(f"{where}: {reason}")


def line_at(data: bytes, position: int) -> int:
    """Return the number of the line a byte is on, counted from 1."""
    return data.count(b"\n", 0, position) + 1
