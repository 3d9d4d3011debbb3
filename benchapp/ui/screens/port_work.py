"""Long work on a port: on the worker, watched by a timer, stopped when somebody asks."""

from collections.abc import Callable
from threading import Event
from typing import Any, Protocol

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from benchapp.presentation.ground.messages import message_for
from benchapp.ui.link.bridge import Bridge

_LOOK_MS = 100


class Work(Protocol):
    """Blocks; takes the port, whom to tell how far it is, and whom to ask whether to stop; returns what came of it."""

    def __call__(self, port: str, /, *, tell: Callable[[Any], None], stop: Callable[[], bool]) -> Any:
        """Do the work on the port."""


class PortWork(QObject):
    """One long job on a port, never twice at once; how far it is and how it ended are told in the window's thread.

    find_work is called on the worker and gives the function that does the job, so that it is loaded there.
    """

    progressed = Signal(object)
    finished = Signal(object)
    failed = Signal(object)

    def __init__(self, bridge: Bridge, find_work: Callable[[], Work], parent: QObject) -> None:
        super().__init__(parent)
        self._bridge = bridge
        self._find_work = find_work
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
        find_work, stop = self._find_work, self._stop.is_set
        self._bridge.submit(
            lambda: find_work()(port, tell=self._note, stop=stop),
            done=self._done,
            failed=self._not_done,
            on_port=True,
        )

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
