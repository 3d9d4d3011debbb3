"""Python's cycle collector, run by a timer of the window's thread only."""

import gc

from PySide6.QtCore import QObject, QTimer, Slot

_EVERY_MS = 1000


class CycleCollector(QObject):
    """Runs Python's garbage collector in the window's thread; in any other it would delete widgets there, and crash."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._thresholds = gc.get_threshold()
        gc.disable()
        self._timer = QTimer(self)
        self._timer.setInterval(_EVERY_MS)
        self._timer.timeout.connect(self.collect)
        self._timer.start()

    @Slot()
    def collect(self) -> None:
        """Collect the generations that are due."""
        for generation, (count, limit) in enumerate(zip(gc.get_count(), self._thresholds, strict=True)):
            if count <= limit:
                return
            gc.collect(generation)

    def stop(self) -> None:
        """Let Python collect garbage by itself again."""
        self._timer.stop()
        gc.enable()
