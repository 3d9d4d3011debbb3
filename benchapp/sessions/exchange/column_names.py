"""Names of leads made fit for a file format, each still told from the others."""

import re
import unicodedata
from collections.abc import Sequence

_LONGEST = 64
_NOT_PLAIN = re.compile(r"[^A-Za-z0-9_-]")


def vcd_names(names: Sequence[str]) -> list[str]:
    """Return the names as VCD references: ASCII letters, digits, - and _, at most 64, no two alike."""
    plain = [_NOT_PLAIN.sub("_", name[:_LONGEST]) or "lead" for name in names]
    return _told_apart([name if name[0].isalpha() else f"_{name[: _LONGEST - 1]}" for name in plain], set())


def csv_names(names: Sequence[str], *, taken: set[str]) -> list[str]:
    """Return the names as CSV headers: one line, no hidden characters, inert in a spreadsheet, no two alike.

    A name a spreadsheet would take for a formula gets an apostrophe before it.
    """
    out = []
    for name in names:
        clean = "".join(" " if unicodedata.category(letter)[0] == "C" else letter for letter in name[:_LONGEST])
        clean = " ".join(clean.split()) or "lead"
        out.append(f"'{clean}" if clean[0] in "=+-@'" else clean)
    return _told_apart(out, taken)


def _told_apart(names: list[str], taken: set[str]) -> list[str]:
    used = set(taken)
    out = []
    for name in names:
        free, number = name, 2
        while free in used:
            free, number = f"{name}_{number}", number + 1
        used.add(free)
        out.append(free)
    return out
