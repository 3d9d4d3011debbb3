"""One line on stderr that follows a run, where stderr is a terminal."""

import shutil
import sys
from types import TracebackType
from typing import Self

from benchapp.acquisition.status import Status
from benchapp.cli.printing import one_line
from benchapp.cli.run_text import going_text


class ProgressLine:
    """Rewrites one line while it is entered, and leaves it blank behind itself."""

    def __init__(self) -> None:
        self._terminal = sys.stderr.isatty()
        self._shown = ""

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.clear()

    def clear(self) -> None:
        """Leave the line blank, for something else to be written there."""
        if self._shown:
            self._write("")
            sys.stderr.write("\r")
            sys.stderr.flush()

    def show(self, status: Status) -> None:
        """Show how things are; nothing where stderr is no terminal or nothing has changed."""
        self.show_text(progress_text(status))

    def show_text(self, text: str) -> None:
        """Show a text that is one line already; nothing where stderr is no terminal or nothing has changed."""
        if self._terminal:
            self._write(text)

    def _write(self, text: str) -> None:
        room = max(20, shutil.get_terminal_size().columns - 1)
        line = text[:room]
        if line != self._shown:
            sys.stderr.write("\r" + line.ljust(len(self._shown)))
            sys.stderr.flush()
            self._shown = line


def progress_text(status: Status) -> str:
    """Return a run's progress as one line: count, last value, figure, what is left, why it is paused."""
    if status.run is None:
        return one_line(f"Looking for the probe: {status.probe}" if status.probe else "Looking for the probe")
    missed = f"{status.missed} records missed" if status.missed else ""
    return one_line(" · ".join(part for part in (going_text(status.run), missed) if part))
