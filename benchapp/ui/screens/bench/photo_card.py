"""The photo of the bench: chosen, dropped, looked at, taken away again."""

from pathlib import Path

from PySide6.QtCore import Signal, Slot
from PySide6.QtGui import QDropEvent
from PySide6.QtWidgets import QFileDialog, QFrame, QVBoxLayout, QWidget

from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.screens.bench.photo_file import ENDINGS, PhotoRead
from benchapp.ui.screens.bench.photo_reading import PhotoReading
from benchapp.ui.widgets.buttons import button
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.photo_view import Picture, image_of
from benchapp.ui.widgets.wrap_row import WrapRow

_HIGHEST_PX = 240
_NONE = "Not noted. A photo shows at one look what was clipped to what; drop one here."
_READING = "Looking at the photo…"
_KEPT = "Made smaller, and without what cameras write into pictures: no place, no time. Mind what can be read in it."


def dropped_photo(event: QDropEvent) -> Path | None:
    """Return the first of the dropped files that could be a photo."""
    paths = (Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile())
    return next((path for path in paths if path.suffix.lower() in ENDINGS), None)


class PhotoCard(QFrame):
    """Holds one photo as a JPEG; `changed` tells when there is another, or none."""

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("card", True)
        self.jpeg: bytes | None = None
        self._reading = PhotoReading(self)
        self._reading.ended.connect(self._take_read)
        self.busy_changed = self._reading.busy_changed
        self.picture = Picture(image_of(b""), highest_px=_HIGHEST_PX)
        self.picture.setAccessibleName("The photo of the bench")
        self.said = PlainLabel(_NONE, Type.BODY, soft=True, wrap=True)
        self.add_button = button("Add a photo…", name="Add a photo of the bench")
        self.add_button.clicked.connect(self.ask)
        self.remove_button = button("Take it away", name="Take the photo of the bench away")
        self.remove_button.clicked.connect(self.remove)
        row = WrapRow(spacing=Space.MEDIUM)
        row.addWidget(self.add_button)
        row.addWidget(self.remove_button)
        row.addWidget(self.said, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(Space.LARGE, Space.LARGE, Space.LARGE, Space.LARGE)
        column.setSpacing(Space.SMALL)
        column.addWidget(PlainLabel("Photo", Type.LEAD, bold=True))
        column.addWidget(self.picture)
        column.addLayout(row)
        self._show("")

    @Slot()
    def ask(self) -> None:
        """Ask for a file."""
        kinds = " ".join(f"*{ending}" for ending in ENDINGS)
        chosen, _ = QFileDialog.getOpenFileName(self, "A photo of the bench", "", f"Photos ({kinds})")
        if chosen:
            self.take(Path(chosen))

    def take(self, path: Path) -> None:
        """Have a file's photo read beside the window, and take it or say why not; until then the old one stays."""
        self._reading.begin(path)
        self.said.show_text(_READING)

    @property
    def busy(self) -> bool:
        """Whether a photo is being read."""
        return self._reading.busy

    @Slot(object)
    def _take_read(self, found: PhotoRead) -> None:
        if found.jpeg is None:
            self._show(found.refusal)
            return
        self.jpeg = found.jpeg
        self._show("")
        self.changed.emit()

    @Slot()
    def remove(self) -> None:
        """Have no photo any more, nor one that is still being read."""
        self.show_photo(None)
        self.changed.emit()

    def show_photo(self, jpeg: bytes | None) -> None:
        """Show a photo or none, telling nobody; one that is still being read is let go."""
        self._reading.let_go()
        self.jpeg = jpeg
        self._show("")

    def _show(self, refusal: str) -> None:
        there = self.jpeg is not None
        self.picture.show_image(image_of(self.jpeg or b""))
        self.picture.setVisible(there)
        self.remove_button.setVisible(there)
        self.add_button.setText("Another photo…" if there else "Add a photo…")
        self.said.show_text(refusal or (_KEPT if there else _NONE))
