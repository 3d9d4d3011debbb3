"""The sounds of a run: one when it is time to act, two when it is over."""

from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer, Slot
from PySide6.QtWidgets import QApplication

from benchapp.presentation.live.run_shown import RunState, RunView

_BETWEEN_BEEPS_MS = 250


class RunSounds(QObject):
    """Beeps when it is time for a person to act, and when a run is over; wanted: whether sounds are wanted at all."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.wanted = True
        self.beep: Callable[[], None] = QApplication.beep
        self._acted_before = False
        self._state: RunState | None = None
        self._second = QTimer(self)
        self._second.setSingleShot(True)
        self._second.setInterval(_BETWEEN_BEEPS_MS)
        self._second.timeout.connect(self._beep)

    def use(self, *, wanted: bool) -> None:
        """Sound from now on, or not."""
        self.wanted = wanted

    def hear(self, view: RunView, *, acts: bool = True) -> None:
        """Sound once when it is time for a person to act (if one acts), and twice when the run is over."""
        over = view.state is RunState.ENDED and self._state in (RunState.GOING, RunState.PAUSED)
        if self.wanted and ((acts and view.act_now and not self._acted_before) or over):
            self._beep()
            if over:
                self._second.start()
        self._acted_before, self._state = view.act_now, view.state

    @Slot()
    def _beep(self) -> None:
        self.beep()
