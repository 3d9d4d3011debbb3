"""Labels that show text as typed and never read it as markup."""

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

from benchapp.ui.look.theme import font, scaled
from benchapp.ui.look.tokens import Type

_LEAST_PATH_PX = 160


class PlainLabel(QLabel):
    """A label in one of the window's sizes. tone "soft" is for what may be skipped; wrap lets lines break."""

    def __init__(
        self,
        text: str = "",
        size: Type = Type.BODY,
        *,
        bold: bool = False,
        soft: bool = False,
        wrap: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setFont(font(size, bold=bold))
        self.setProperty("tone", "soft" if soft else "plain")
        self.setWordWrap(wrap)
        if wrap:
            policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
            policy.setHeightForWidth(True)
            self.setSizePolicy(policy)
        self.setText(text)

    def show_text(self, text: str) -> None:
        """Show another text; an unchanged one costs nothing."""
        if text != self.text():
            self.setText(text)


class PathLabel(PlainLabel):
    """A label for a path of any length: its middle gives way, its ends stay; a screen reader hears all of it."""

    def __init__(
        self, before: str, size: Type = Type.BODY, *, soft: bool = False, parent: QWidget | None = None
    ) -> None:
        super().__init__("", size, soft=soft, parent=parent)
        self._before = before
        self._path = ""
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)

    def show_path(self, path: str) -> None:
        """Show another path."""
        self._path = path
        self.setAccessibleName(f"{self._before} {path}")
        self._elide()

    def sizeHint(self) -> QSize:
        """Return the least that makes sense; the layout gives what room there is."""
        least_px = self.fontMetrics().horizontalAdvance(self._before) + scaled(_LEAST_PATH_PX)
        return QSize(least_px, super().sizeHint().height())

    def minimumSizeHint(self) -> QSize:
        """Return the same, whatever path is shown."""
        return self.sizeHint()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Fit the path into the room there is."""
        super().resizeEvent(event)
        self._elide()

    def _elide(self) -> None:
        metrics = self.fontMetrics()
        room = self.width() - metrics.horizontalAdvance(f"{self._before} ")
        self.show_text(f"{self._before} {metrics.elidedText(self._path, Qt.TextElideMode.ElideMiddle, room)}")
