"""`benchapp`: a command, or else the window."""

import logging
import sys
from collections.abc import Sequence
from pathlib import Path

from benchapp.app.main import run as open_window
from benchapp.cli.arguments import commands
from benchapp.cli.main import guarded
from benchapp.cli.main import main as command_line
from benchapp.desk.bench import check_practice
from benchapp.desk.names import shown
from benchapp.records.errors import WrongCall, WrongInput

PRACTICE = "practice://"


def main() -> int:
    """Carry out this program's call; return its exit status."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="backslashreplace")  # a name no terminal can show must not end the program
    logging.getLogger("benchapp").addHandler(logging.NullHandler())  # what is for people is printed, not logged
    return run(sys.argv[1:])


def run(words: Sequence[str]) -> int:
    """Return the exit status of a call: of a command if the first word is one, else of the window."""
    if words and (words[0] in commands() or words[0].startswith("-")):
        return command_line(words)
    return guarded(lambda: _window(words))


def _window(words: Sequence[str]) -> int:
    if len(words) > 1:
        raise WrongCall(
            f"{shown(words[0])} is no command, and the window takes one session. See benchapp --help for the commands."
        )
    session = words[0] if words else None
    if session is not None and session.lower().startswith(PRACTICE):
        check_practice(session)
        return open_window(None, bench=session)
    if session is not None and not _is_file(session):
        raise WrongInput(f"There is no file {shown(session)}, and no command of that name. See benchapp --help.")
    return open_window(session)


def _is_file(name: str) -> bool:
    try:
        return Path(name).is_file()
    except (OSError, ValueError):
        return False


if __name__ == "__main__":
    sys.exit(main())
