"""Long work on a port: on the worker, watched by a timer, stopped when somebody asks."""

from collections.abc import Callable
from functools import partial
from threading import Event
from typing import Any

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from benchapp.presentation.ground.messages import message_for
from benchapp.ui.link.bridge import Bridge

_LOOK_MS = 100

Work = Callable[[str, Callable[[Any], None], Callable[[], bool]], Any]
"""Blocks; takes the port, whom to tell how far it is, and whom to ask whether to stop; returns what came of it."""


class PortWork(QObject):
    """One long job on a port, never twice at once; how far it is and how it ended are told in the window's thread."""

    progressed = Signal(object)
    finished = Signal(object)
    failed = Signal(object)

    def __init__(self, bridge: Bridge, work: Work, parent: QObject) -> None:
        super().__init__(parent)
        self._bridge = bridge
        self._work = work
        self._stop = Event()
        self._latest: Any = None
        self._timer = QTimer(self)
        self._timer.setInterval(_LOOK_MS)
        self._timer.timeout.connect(self._look)

    @property
    def busy(self) -> bool:
        """Whether the job goes on."""
        return self._timer.isActive()

    def begin(self, port: str) -> None:
        """Begin on a port, unless it goes on already."""
        if self.busy:
            return
        self._stop, self._latest = Event(), None
        self._timer.start()
        work = partial(self._work, port, self._note, self._stop.is_set)
        self._bridge.submit(work, done=self._done, failed=self._not_done, on_port=True)

    @Slot()
    def cancel(self) -> None:
        """Stop at the next place where the work asks."""
        self._stop.set()

    def _note(self, progress: Any) -> None:
        self._latest = progress  # called on the worker: the timer takes it from here

    @Slot()
    def _look(self) -> None:
        if self._latest is not None:
            self.progressed.emit(self._latest)

    def _done(self, result: Any) -> None:
        self._timer.stop()
        self.finished.emit(result)

    def _not_done(self, error: BaseException) -> None:
        self._timer.stop()
        self.failed.emit(message_for(error))
