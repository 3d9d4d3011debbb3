"""Opens whatever file a person chooses, drops or clicks: a session, or a capture of any instrument."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal, Slot

from benchapp import desk
from benchapp.presentation.ground.messages import message_for
from benchapp.presentation.screens.capture_words import CAPTURE_ENDINGS
from benchapp.ui.kept.session_names import free_session_path
from benchapp.ui.link.bridge import LONGEST_WAIT_S, Bridge
from benchapp.ui.screens.captures.page import CapturePage

if TYPE_CHECKING:
    from benchapp.desk.importing import ImportOrder
    from benchapp.desk.preview import CapturePreview


class Opener(QObject):
    """Tells files apart by their endings; captures go through their page, and what comes of them is a session."""

    session_wanted = Signal(object)
    capture_shown = Signal()
    trouble = Signal(object)

    def __init__(self, bridge: Bridge, page: CapturePage, *, folder: Callable[[], Path], parent: QObject) -> None:
        super().__init__(parent)
        self._bridge = bridge
        self._page = page
        self._folder = folder
        page.read.connect(self._read)
        page.make.connect(self._make)

    def open(self, path: Path) -> None:
        """Open a session or a capture."""
        if path.suffix.lower() in CAPTURE_ENDINGS:
            self._page.open_file(path)
            self.capture_shown.emit()
        else:
            self.session_wanted.emit(path)

    @Slot(object)
    def _read(self, order: "ImportOrder") -> None:
        self._bridge.submit(
            lambda: desk.preview.preview_capture(order),
            done=self._seen,
            failed=self._refused,
            what=str(order.capture),
            said_after_s=LONGEST_WAIT_S,
        )

    def _seen(self, preview: "CapturePreview") -> None:
        self._page.show_preview(preview)

    def _refused(self, error: BaseException) -> None:
        self._page.show_refusal()
        self.trouble.emit(message_for(error))

    @Slot(object)
    def _make(self, order: "ImportOrder") -> None:
        folder = self._folder()
        self._bridge.submit(
            lambda: _imported(order, folder),
            done=self._made,
            failed=self._refused,
            what=str(order.capture),
            said_after_s=LONGEST_WAIT_S,
        )

    def _made(self, path: Path) -> None:
        self.session_wanted.emit(path)


def _imported(order: "ImportOrder", folder: Path) -> Path:
    """Make a session of the capture in the folder; done on the worker."""
    folder.mkdir(parents=True, exist_ok=True)
    out = free_session_path(folder, name=order.capture.stem, now=datetime.now().astimezone())
    desk.importing.import_capture(replace(order, out=out))
    return out
