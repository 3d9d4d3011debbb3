"""`benchapp`: a command, or else the window."""

import sys
from collections.abc import Sequence

PRACTICE = "practice://"
INTERRUPTED = 130

# Everything else is imported where it is used: loading takes a third of a second, in which Ctrl-C must already end
# the program without a traceback.
# ruff: noqa: PLC0415


def main() -> int:
    """Carry out this program's call; return its exit status. Ctrl-C ends it quietly from the first moment on."""
    try:
        _prepare()
        return run(sys.argv[1:])
    except KeyboardInterrupt:
        return INTERRUPTED


def _prepare() -> None:
    import logging

    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="backslashreplace")  # a name no terminal can show must not end the program
    logging.getLogger("benchapp").addHandler(logging.NullHandler())  # what is for people is printed, not logged


def run(words: Sequence[str]) -> int:
    """Return the exit status of a call: of a command if the first word is one, else of the window."""
    from benchapp.cli.arguments import commands
    from benchapp.cli.main import guarded
    from benchapp.cli.main import main as command_line

    if words and (words[0] in commands() or words[0].startswith("-")):
        return command_line(words)
    return guarded(lambda: _window(words))


def _window(words: Sequence[str]) -> int:
    from benchapp.app.main import run as open_window
    from benchapp.desk.bench import check_practice
    from benchapp.desk.names import shown
    from benchapp.records.errors import WrongCall, WrongInput

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
    from pathlib import Path

    try:
        return Path(name).is_file()
    except (OSError, ValueError):
        return False


if __name__ == "__main__":
    sys.exit(main())
