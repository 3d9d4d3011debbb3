"""Asks a question at the terminal that must be answered with yes."""

import sys

from benchapp.cli.printing import one_line, say_aside
from benchapp.desk.recording import is_practice
from benchapp.desk.seen_ports import is_seen, is_there
from benchapp.presentation.screens.probe_words import ask_before_opening, opened_by_the_call
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


def agree_to_open(port: str) -> None:
    """Ask before a port is opened on which no probe was seen; without a terminal the call is the yes, and that is said.

    Raises SafetyRefused for a no. A port that is not there needs no yes: its fault is said when it is opened.
    """
    if is_practice(port) or is_seen(port) or not is_there(port):
        return
    if sys.stdin.isatty():
        insist_on_yes(ask_before_opening(port), otherwise="")
    else:
        say_aside(opened_by_the_call(port))
