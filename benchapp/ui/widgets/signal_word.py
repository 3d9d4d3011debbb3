"""A signal word on its own ground: DANGER, WARNING, CAUTION, NOTICE."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from benchapp.ui.look.theme import font
from benchapp.ui.look.tokens import SIGNALS, Space, Type

_WIDEST = "WARNING"


class SignalWord(QWidget):
    """One signal word on its ground, as wide as the widest of all, so that the lines beside them align."""

    def __init__(self, word: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.word = word
        self.setFont(font(Type.CAPTION, bold=True))
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(word)

    def sizeHint(self) -> QSize:
        """Return the size of the widest word with its ground."""
        metrics = self.fontMetrics()
        return QSize(metrics.horizontalAdvance(_WIDEST) + 2 * Space.MEDIUM, metrics.height() + Space.SMALL)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the word."""
        if not self.word:
            return
        ground, ink = SIGNALS[self.word]
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(ground))
        painter.drawRoundedRect(QRectF(self.rect()), 4, 4)
        painter.setFont(self.font())
        painter.setPen(QColor(ink))
        painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter, self.word)
        painter.end()
