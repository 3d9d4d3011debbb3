"""Opens the window: the composition root of everything on screen."""

import signal
import sys
from pathlib import Path
from types import FrameType

from benchapp.app.screen_check import check_screen
from benchapp.records.errors import SystemTrouble

_INTERRUPTED = 130


def run(session: str | None, *, bench: str = "") -> int:
    """Show the window until it is closed; return the exit status.

    A session opens in it if one is named, and so does the probe or practice bench at the URL bench.
    """
    try:
        check_screen()
        # only now: on a system without its libraries the import itself fails
        from benchapp.app.window_program import WindowProgram  # noqa: PLC0415
    except SystemTrouble as trouble:
        sys.stderr.write(f"benchapp: {trouble.message}\n")
        return trouble.status
    except ImportError as trouble:
        sys.stderr.write(f"benchapp: A part the window needs cannot be loaded: {trouble}. Install it and try again.\n")
        return SystemTrouble.status
    program = WindowProgram(Path(session) if session else None, bench=bench)
    interrupted = False

    def on_signal(_number: int, _frame: FrameType | None) -> None:
        nonlocal interrupted
        interrupted = True
        program.ask_to_close()

    for name in ("SIGINT", "SIGTERM", "SIGHUP"):
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), on_signal)
    status = program.run()
    return _INTERRUPTED if interrupted else status
