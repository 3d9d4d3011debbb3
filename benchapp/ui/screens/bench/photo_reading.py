"""A photo's file read beside the window: a picture made to be slow never holds it up."""

from concurrent.futures import Future
from pathlib import Path

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from benchapp.presentation.ground.cleaning import clean
from benchapp.ui.link.worker import Worker
from benchapp.ui.screens.bench.photo_file import PhotoRead, read_photo

LONGEST_S = 10.0
"""A photo of 200 million pixels takes a few seconds on a slow computer; what takes longer is left."""
_LOOK_MS = 50


class PhotoReading(QObject):
    """Reads one file at a time; `ended` tells what came of it, `busy_changed` whether one is read.

    Each file has a worker of its own: one that takes too long is left behind and holds up no other.
    """

    ended = Signal(object)
    busy_changed = Signal(bool)

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._future: Future[PhotoRead] | None = None
        self._worker: Worker | None = None
        self._name = ""
        self._looks = 0
        self._timer = QTimer(self)
        self._timer.setInterval(_LOOK_MS)
        self._timer.timeout.connect(self._look)

    @property
    def busy(self) -> bool:
        """Whether a file is being read."""
        return self._future is not None

    def begin(self, path: Path) -> None:
        """Read a file in place of the one before."""
        self.let_go()
        self._name, self._looks = clean(path.name, limit=80), 0
        self._worker = Worker("photo")
        self._future = self._worker.submit(lambda: read_photo(path))
        self._timer.start()
        self.busy_changed.emit(True)

    def let_go(self) -> None:
        """Forget the file that is being read."""
        self._timer.stop()
        was_busy, self._future = self.busy, None
        if self._worker is not None:
            self._worker.end(0.0)  # it ends by itself once its file is read
            self._worker = None
        if was_busy:
            self.busy_changed.emit(False)

    @Slot()
    def _look(self) -> None:
        """Tell what was read once it is, or that it takes too long."""
        future, self._looks = self._future, self._looks + 1
        if future is None:
            return
        if future.done():
            fault = future.exception()
            self._end(
                future.result() if fault is None else _refused(f"{self._name} is damaged: its picture cannot be read.")
            )
        elif self._looks * _LOOK_MS >= LONGEST_S * 1000:
            self._end(_refused(f"{self._name} takes longer than {LONGEST_S:.0f} s to read and was left."))

    def _end(self, found: PhotoRead) -> None:
        self.let_go()
        self.ended.emit(found)


def _refused(why: str) -> PhotoRead:
    return PhotoRead(refusal=f"{why} Choose another photo, as JPEG or PNG. Nothing was changed.")
