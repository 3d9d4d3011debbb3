"""The thread that works the figures of a run out, beside the one that reads the probe."""

import logging
import queue
import tempfile
import threading
import time
import weakref
from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

REST_SHARE = 9
"""After work it rests nine times as long: figures cost a tenth of the time, however long the run gets."""
IN_MEMORY_BYTES = 64 * 1024
"""A series longer than this is kept in a file that has no name and goes with the recording."""

_log = logging.getLogger(__name__)


class FigureThread:
    """Does the work it is given in order; nobody who gives any waits.

    fault : what stopped it, None while it works; after it, work is passed over
    """

    def __init__(self) -> None:
        self._work: queue.SimpleQueue[Callable[[], None] | None] = queue.SimpleQueue()
        self._thread = threading.Thread(target=self._run, name="figures", daemon=True)
        self._rest_until_s = 0.0
        self.fault: Exception | None = None

    @property
    def free(self) -> bool:
        """Whether the thread has rested long enough after the figure before."""
        return time.monotonic() >= self._rest_until_s

    def do(self, work: Callable[[], None]) -> None:
        """Take the next work; the thread begins with the first."""
        if self._thread.ident is None:
            self._thread.start()
        self._work.put(work)

    def column(self) -> "FileColumn":
        """Return where a series is kept without taking more and more memory."""
        return FileColumn()

    def wait(self, longest_s: float) -> bool:
        """Return whether everything given so far is done within the time."""
        if self._thread.ident is None:
            return True
        done = threading.Event()
        self._work.put(done.set)
        return done.wait(longest_s)

    def quit(self, longest_s: float) -> bool:
        """End the thread after what it was given; return whether it ended within the time."""
        if self._thread.ident is None:
            return True
        self._work.put(None)
        self._thread.join(longest_s)
        return not self._thread.is_alive()

    def _run(self) -> None:
        while (work := self._work.get()) is not None:
            began_s = time.monotonic()
            try:
                work()
            except Exception as fault:  # noqa: BLE001 - it is raised where the run is led
                _log.exception("working the figure out met something unforeseen")
                self.fault = self.fault or fault
            now_s = time.monotonic()
            self._rest_until_s = max(self._rest_until_s, now_s + REST_SHARE * (now_s - began_s))


class FileColumn:
    """A series of numbers, kept in memory while it is short and in a nameless file once it is long.

    Where there is no room for the file, the series counts as empty from then on: there is no figure, and nothing of
    what is recorded is lost.
    """

    def __init__(self) -> None:
        self._file = tempfile.SpooledTemporaryFile(max_size=IN_MEMORY_BYTES)  # noqa: SIM115 - it lives as long as this
        self._kind: np.dtype[Any] | None = None
        self._full = False
        weakref.finalize(self, self._file.close)

    def append(self, part: NDArray[Any]) -> None:
        """Keep the next numbers."""
        if self._full:
            return
        self._kind = part.dtype
        try:
            self._file.write(part.tobytes())
        except OSError as trouble:
            _log.error("no room to keep what a figure needs: %s", trouble.strerror)
            self._full = True

    def whole(self) -> NDArray[Any] | None:
        """Return all of them, read-only; None where there are none."""
        if self._kind is None or self._full:
            return None
        self._file.seek(0)
        return np.frombuffer(self._file.read(), self._kind)
