"""Faults nobody foresaw: they are noted, the data is kept, and the window says so once."""

import faulthandler
import logging
import sys
import threading
from collections import deque
from io import TextIOWrapper
from pathlib import Path
from types import TracebackType

_LOG = logging.getLogger(__name__)
_MOST_WAITING = 8


class FaultNet:
    """Catches what no one else did, in any thread, and keeps it for the window's timer to show.

    The hooks only note the fault: they run in whatever thread failed, where no widget may be touched.
    """

    def __init__(self) -> None:
        self._waiting: deque[BaseException] = deque(maxlen=_MOST_WAITING)
        self._crash_file: TextIOWrapper | None = None
        self._shown = False

    def install(self, crash_file: Path | None = None) -> None:
        """Put the hooks in place; a crash of the interpreter itself is written to the file."""
        sys.excepthook = self._on_fault
        threading.excepthook = self._on_thread_fault
        if crash_file is None:
            return
        try:
            crash_file.parent.mkdir(parents=True, exist_ok=True)
            # open for as long as the program runs: a crash handler can no longer open anything
            self._crash_file = crash_file.open("a", encoding="utf-8")
        except OSError:
            _LOG.warning("no crash notes: the folder cannot be written")
            return
        faulthandler.enable(self._crash_file)

    def remove(self) -> None:
        """Put Python's own handlers of faults back."""
        sys.excepthook = sys.__excepthook__
        threading.excepthook = threading.__excepthook__
        if self._crash_file is not None:
            faulthandler.disable()
            self._crash_file.close()
            self._crash_file = None

    def take(self) -> BaseException | None:
        """Return the first fault, once; all are in the log, and one banner is enough."""
        if self._shown or not self._waiting:
            return None
        self._shown = True
        return self._waiting.popleft()

    def _on_fault(self, kind: type[BaseException], fault: BaseException, trace: TracebackType | None) -> None:
        if issubclass(kind, KeyboardInterrupt):
            sys.__excepthook__(kind, fault, trace)
            return
        _LOG.error("unexpected fault", exc_info=(kind, fault, trace))
        self._waiting.append(fault)

    def _on_thread_fault(self, args: threading.ExceptHookArgs) -> None:
        if args.exc_value is not None:
            self._on_fault(args.exc_type, args.exc_value, args.exc_traceback)
