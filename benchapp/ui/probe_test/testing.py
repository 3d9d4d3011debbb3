"""A probe's test as it goes on: on the worker, watched by a timer, stopped when somebody asks."""

from collections.abc import Callable
from functools import partial
from threading import Event
from typing import Any

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from benchapp.presentation.messages import message_for
from benchapp.ui.bridge import Bridge
from benchapp.ui.desk_calls import DeskCalls

_LOOK_MS = 100


class Testing(QObject):
    """One test at a time; progress, findings and troubles are told in the window's thread."""

    __test__ = False  # no test class, whatever its name begins with

    leads_progressed = Signal(object)
    leads_tested = Signal(object)
    clock_progressed = Signal(object)
    clock_checked = Signal(object)
    failed = Signal(object)

    def __init__(self, desk: DeskCalls, bridge: Bridge, parent: QObject) -> None:
        super().__init__(parent)
        self._desk = desk
        self._bridge = bridge
        self._stop = Event()
        self._latest: Any = None
        self._tell: Callable[[Any], None] = self.leads_progressed.emit
        self._timer = QTimer(self)
        self._timer.setInterval(_LOOK_MS)
        self._timer.timeout.connect(self._look)

    @property
    def busy(self) -> bool:
        """Whether a probe is being tested."""
        return self._timer.isActive()

    def test_leads(self, port: str) -> None:
        """Have the probe test its leads, and keep what it finds."""
        self._begin(self._desk.self_test, port, self.leads_progressed.emit, self.leads_tested.emit)

    def check_clock(self, port: str) -> None:
        """Compare the probe's clock with the computer's."""
        self._begin(self._desk.check_clock, port, self.clock_progressed.emit, self.clock_checked.emit)

    @Slot()
    def cancel(self) -> None:
        """Stop after the next look at the probe."""
        self._stop.set()

    def _begin(
        self,
        work: Callable[[str, Callable[[Any], None], Callable[[], bool]], Any],
        port: str,
        tell: Callable[[Any], None],
        found: Callable[[Any], None],
    ) -> None:
        if self.busy:
            return
        self._stop, self._latest, self._tell = Event(), None, tell
        self._timer.start()
        self._bridge.submit(
            partial(work, port, self._note, self._stop.is_set), done=partial(self._done, found), failed=self._not_done
        )

    def _note(self, progress: Any) -> None:
        self._latest = progress  # called on the worker: the timer takes it from here

    @Slot()
    def _look(self) -> None:
        if self._latest is not None:
            self._tell(self._latest)

    def _done(self, found: Callable[[Any], None], result: Any) -> None:
        self._timer.stop()
        found(result)

    def _not_done(self, error: BaseException) -> None:
        self._timer.stop()
        self.failed.emit(message_for(error))
