"""The installing of the probe program as it goes on: on the worker, watched by a timer, stopped when somebody asks."""

from functools import partial
from threading import Event

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from benchapp.presentation.messages import message_for
from benchapp.records.probe_install import Installed, InstallProgress
from benchapp.ui.bridge import Bridge
from benchapp.ui.desk_calls import DeskCalls

_LOOK_MS = 100


class Installing(QObject):
    """Tells how far it is, and what came of it."""

    progressed = Signal(object)
    installed = Signal(object)
    failed = Signal(object)

    def __init__(self, desk: DeskCalls, bridge: Bridge, parent: QObject) -> None:
        super().__init__(parent)
        self._desk = desk
        self._bridge = bridge
        self._stop = Event()
        self._latest: InstallProgress | None = None
        self._timer = QTimer(self)
        self._timer.setInterval(_LOOK_MS)
        self._timer.timeout.connect(self._look)

    @property
    def busy(self) -> bool:
        """Whether a board is being written."""
        return self._timer.isActive()

    def begin(self, port: str) -> None:
        """Put the probe program on the board on a port; one at a time."""
        if self.busy:
            return
        self._stop = Event()
        self._latest = None
        self._timer.start()
        work = partial(self._desk.install_probe, port, self._note, self._stop.is_set)
        self._bridge.submit(work, done=self._done, failed=self._not_done)

    @Slot()
    def cancel(self) -> None:
        """Stop before the next page."""
        self._stop.set()

    def _note(self, progress: InstallProgress) -> None:
        self._latest = progress  # called on the worker: the timer takes it from here

    @Slot()
    def _look(self) -> None:
        if self._latest is not None:
            self.progressed.emit(self._latest)

    def _done(self, installed: Installed) -> None:
        self._timer.stop()
        self.installed.emit(installed)

    def _not_done(self, error: BaseException) -> None:
        self._timer.stop()
        self.failed.emit(message_for(error))
