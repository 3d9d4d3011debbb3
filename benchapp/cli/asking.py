"""Asks a question at the terminal that must be answered with yes."""

import sys

from benchapp.cli.printing import one_line
from benchapp.records.errors import SafetyRefused

_YES = frozenset(("y", "yes"))
_NO = frozenset(("n", "no"))


def insist_on_yes(question: str, *, otherwise: str) -> None:
    """Ask until there is a yes. Raises SafetyRefused for a no, an end of the answers, or no terminal to ask at.

    otherwise says what to do where nobody can be asked.
    """
    if not sys.stdin.isatty():
        raise SafetyRefused(f"{question} There is no terminal to ask at. {otherwise}")
    while True:
        print(one_line(question) + " [yes/no] ", end="", file=sys.stderr, flush=True)
        typed = sys.stdin.readline()
        word = typed.strip().lower()
        if word in _YES:
            return
        if word in _NO or not typed:
            raise SafetyRefused("It was not agreed to, so nothing was opened or sent.")
