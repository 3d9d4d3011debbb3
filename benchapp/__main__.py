"""`benchapp`: a command, or else the window."""

import os
import sys
from collections.abc import Sequence
from pathlib import Path

from benchapp.cli.arguments import commands
from benchapp.cli.main import guarded
from benchapp.cli.main import main as command_line
from benchapp.desk.names import shown
from benchapp.records.errors import SystemTrouble, WrongCall, WrongInput

PRACTICE = "practice://"
_HEADLESS_WAY = "Without a screen everything but the window works: see benchapp --help."


def main() -> int:
    """Carry out this program's call; return its exit status."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="backslashreplace")  # a name no terminal can show must not end the program
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
    if session is not None and not session.lower().startswith(PRACTICE) and not _is_file(session):
        raise WrongInput(f"There is no file {shown(session)}, and no command of that name. See benchapp --help.")
    _check_screen()
    try:
        # Qt belongs to the window alone: commands must run where it is missing.
        from benchapp.app.main import run as open_window  # noqa: PLC0415
    except ImportError as error:
        raise SystemTrouble(
            f"The window needs a part of the system that is missing: {error}. {_HEADLESS_WAY}"
        ) from error
    return open_window(session)


def _is_file(name: str) -> bool:
    try:
        return Path(name).is_file()
    except (OSError, ValueError):
        return False


def _check_screen() -> None:
    """Raise SystemTrouble where Qt would find no screen: it would end the whole process."""
    if sys.platform != "linux" or os.environ.get("QT_QPA_PLATFORM"):
        return
    if not os.environ.get("DISPLAY") and not os.environ.get("WAYLAND_DISPLAY"):
        raise SystemTrouble(f"There is no screen to open a window on. {_HEADLESS_WAY}")


if __name__ == "__main__":
    sys.exit(main())
