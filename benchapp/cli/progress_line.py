"""One line on stderr that follows a run, where stderr is a terminal."""

import shutil
import sys
import threading
from collections.abc import Iterable
from contextlib import suppress
from types import TracebackType
from typing import Self

from benchapp.acquisition.status import Status
from benchapp.cli.printing import one_line
from benchapp.cli.run_text import going_text
from benchapp.presentation.ground.page import PRACTICE_MARK
from benchapp.records.run import Origin


class ProgressLine:
    """Rewrites one line while it is entered, and leaves it blank behind itself; from any thread."""

    def __init__(self) -> None:
        self._terminal = sys.stderr.isatty()
        self._shown = ""
        self._turn = threading.Lock()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.clear()

    def show(self, status: Status) -> None:
        """Show how things are; nothing where stderr is no terminal or nothing has changed."""
        self.show_text(progress_text(status))

    def show_text(self, text: str) -> None:
        """Show a text that is one line already; nothing where stderr is no terminal or nothing has changed."""
        with self._turn:
            if self._terminal:
                self._write(text)

    def print_above(self, lines: Iterable[str]) -> None:
        """Print lines that stay, above the line that follows; a reader that has gone away is no fault."""
        self.clear()
        with self._turn, suppress(OSError, ValueError):
            sys.stderr.write("".join(f"{one_line(line)}\n" for line in lines))
            sys.stderr.flush()

    def clear(self) -> None:
        """Leave the line blank, for something else to be written there."""
        with self._turn:
            if self._shown:
                self._write("")
                sys.stderr.write("\r")
                sys.stderr.flush()

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
    mark = PRACTICE_MARK if status.origin is Origin.PRACTICE else ""
    missed = f"{status.missed} records missed" if status.missed else ""
    return one_line(" · ".join(part for part in (mark, going_text(status.run), missed) if part))
