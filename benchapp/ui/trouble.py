"""Faults nobody foresaw: the data is kept, and the window says so once."""

import faulthandler
import logging
import sys
import threading
from collections import deque
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
        self._crash_file: object = None
        self._seen = False

    def install(self, crash_file: Path | None = None) -> None:
        """Put the hooks in place; a crash of the interpreter itself is written to the file."""
        sys.excepthook = self._on_fault
        threading.excepthook = self._on_thread_fault
        if crash_file is not None:
            crash_file.parent.mkdir(parents=True, exist_ok=True)
            opened = crash_file.open("a", encoding="utf-8")
            self._crash_file = opened  # open for as long as the program runs: a crash handler cannot open it
            faulthandler.enable(opened)

    def take(self) -> BaseException | None:
        """Return the first fault not shown yet; later ones are in the log, one banner is enough."""
        if self._seen or not self._waiting:
            return None
        self._seen = True
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
