"""A box to choose from a list, with an arrow drawn in the theme's ink."""

from PySide6.QtCore import QPointF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import QComboBox

from benchapp.ui.look.theme import scaled

_FROM_RIGHT_PX = 18
_HALF_PX = 4.5
_LEAST_PX = 160
_SIDE_PX = 12
"""Beside the words of a line of the list, at each side."""


class ChoiceBox(QComboBox):
    """A combo box that a wheel passing over it does not change."""

    def minimumSizeHint(self) -> QSize:
        """Return room for the beginning of what is chosen; the list shows every choice whole."""
        hint = super().sizeHint()
        return QSize(min(hint.width(), scaled(_LEAST_PX)), hint.height())

    def showPopup(self) -> None:
        """Show every choice at once, each on a line wide enough for its words."""
        self.setMaxVisibleItems(max(self.count(), 1))
        view = self.view()
        view.setMinimumWidth(view.sizeHintForColumn(0) + 2 * _SIDE_PX)
        super().showPopup()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Let the page scroll instead."""
        event.ignore()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the box, then the arrow."""
        super().paintEvent(event)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(self.palette().text().color(), 1.5, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap))
        tip = QPointF(self.width() - _FROM_RIGHT_PX, self.height() / 2 + _HALF_PX / 2)
        for side in (-_HALF_PX, _HALF_PX):
            painter.drawLine(tip, QPointF(tip.x() + side, tip.y() - _HALF_PX))
        painter.end()
