"""Asks every line of *Make it safe* at a terminal, or prints them where --yes-safe answers."""

import sys
from collections.abc import Callable

from benchapp.cli.printing import one_line
from benchapp.presentation.ground.safety import BY_YES_SAFE, MANUALS_WIN, PRACTICE_TOLD, SAFETY, YES_SAFE_TOLD
from benchapp.procedures.gate import SafetyLine, needed_lines
from benchapp.records.errors import SafetyRefused
from benchapp.records.run import Origin

_YES = frozenset(("y", "yes"))
_NO = frozenset(("n", "no"))


def confirmed_lines(
    origin: Origin, *, yes_safe: bool, note: Callable[[str], None] = lambda line: None
) -> tuple[str, ...]:
    """Return the safety lines that were confirmed: by --yes-safe, else one by one at the terminal.

    --yes-safe answers what a bench with a motor must answer: that none is connected is for a person to say.
    note is told of each line at the moment a person confirms it.
    Raises SafetyRefused for a line that was not confirmed, and where there is no terminal to ask at.
    """
    if yes_safe:
        return tuple(line.value for line in needed_lines(origin, receiver_only=False))
    if not sys.stdin.isatty():
        raise SafetyRefused(
            "Each line of the safety list must be answered before a run, and there is no terminal to ask at. At a "
            "terminal each line is asked; --yes-safe prints the list and answers all of it."
        )
    print(MANUALS_WIN, file=sys.stderr)
    receiver_only = origin is not Origin.PRACTICE and _answer(SafetyLine.RECEIVER_ONLY)
    confirmed = [SafetyLine.RECEIVER_ONLY] if receiver_only else []
    for line in confirmed:
        note(line.value)
    for line in needed_lines(origin, receiver_only=receiver_only):
        if line in confirmed:
            continue
        if not _answer(line):
            raise SafetyRefused(f"Not confirmed: {SAFETY[line].text} No run was started.")
        note(line.value)
        confirmed.append(line)
    return tuple(line.value for line in confirmed)


def safety_answer(*, yes_safe: bool) -> str:
    """Return what the session keeps beside each confirmed line: a person's yes, or that --yes-safe gave it."""
    return BY_YES_SAFE if yes_safe else "yes"


def yes_safe_lines(origin: Origin) -> tuple[str, ...]:
    """Return the list that --yes-safe answers, with its signal words, and that it was answered so."""
    lines = tuple(_words(line) for line in needed_lines(origin, receiver_only=False))
    if origin is Origin.PRACTICE:
        return (*lines, PRACTICE_TOLD)
    return (*lines, MANUALS_WIN, YES_SAFE_TOLD)


def _words(line: SafetyLine) -> str:
    words = SAFETY[line]
    signal = f"{words.signal.upper()}: " if words.signal else ""
    return one_line(f"{signal}{words.text}")


def _answer(line: SafetyLine) -> bool:
    while True:
        print(f"{_words(line)} [yes/no] ", end="", file=sys.stderr, flush=True)
        typed = sys.stdin.readline()
        if not typed:
            raise SafetyRefused("The safety list was not answered to its end. No run was started.")
        word = typed.strip().lower()
        if word in _YES | _NO:
            return word in _YES
