"""Asks every line of *Make it safe* at a terminal."""

import sys

from benchapp.cli.printing import one_line
from benchapp.presentation.safety import MANUALS_WIN, SAFETY
from benchapp.procedures.gate import SafetyLine, needed_lines, offered_lines
from benchapp.records.errors import SafetyRefused
from benchapp.records.run import Origin

_YES = frozenset(("y", "yes"))
_NO = frozenset(("n", "no"))


def confirmed_lines(origin: Origin, *, yes_safe: bool) -> tuple[str, ...]:
    """Return the safety lines that were confirmed: all of them by --yes-safe, else one by one at the terminal.

    Raises SafetyRefused for a line that was not, and where there is no terminal to ask at.
    """
    if yes_safe:
        return tuple(line.value for line in offered_lines(origin))
    if not sys.stdin.isatty():
        raise SafetyRefused(
            "The bench must be confirmed safe before a run, and there is no terminal to ask at. Read the safety list "
            "(benchapp record at a terminal prints it), then call again with --yes-safe."
        )
    print(MANUALS_WIN, file=sys.stderr)
    receiver_only = origin is not Origin.PRACTICE and _answer(SafetyLine.RECEIVER_ONLY)
    confirmed = [SafetyLine.RECEIVER_ONLY] if receiver_only else []
    for line in needed_lines(origin, receiver_only=receiver_only):
        if line in confirmed:
            continue
        if not _answer(line):
            raise SafetyRefused(f"Not confirmed: {SAFETY[line].text} No run was started.")
        confirmed.append(line)
    return tuple(line.value for line in confirmed)


def _answer(line: SafetyLine) -> bool:
    words = SAFETY[line]
    signal = f"{words.signal.upper()}: " if words.signal else ""
    while True:
        print(one_line(f"{signal}{words.text}") + " [yes/no] ", end="", file=sys.stderr, flush=True)
        typed = sys.stdin.readline()
        if not typed:
            raise SafetyRefused("The safety list was not answered to its end. No run was started.")
        word = typed.strip().lower()
        if word in _YES | _NO:
            return word in _YES
