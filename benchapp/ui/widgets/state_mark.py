"""The strip's mark: a shape for each state of the probe, so that colour never has to carry it alone."""

from PySide6.QtCore import QPointF, QRectF, Qt, Slot
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QWidget

from benchapp.presentation.live.strip_words import StripMark
from benchapp.ui.look.theme import Theme, scaled

_SIDE_PX = 18


class StateMark(QWidget):
    """Ring, dotted ring, tick, disc, two bars, triangle or page; its meaning stands beside it in words."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self.mark = StripMark.NONE
        theme.changed.connect(self._fit)
        self._fit()

    @Slot()
    def _fit(self) -> None:
        side = scaled(_SIDE_PX)
        self.setFixedSize(side, side)
        self.update()

    def show_mark(self, mark: StripMark) -> None:
        """Show another shape."""
        if mark is not self.mark:
            self.mark = mark
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the shape."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.scale(self.width() / _SIDE_PX, self.height() / _SIDE_PX)
        colour = self._colour()
        style = Qt.PenStyle.DotLine if self.mark is StripMark.LOOKING else Qt.PenStyle.SolidLine
        painter.setPen(QPen(colour, 2, style, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin))
        if self.mark in {StripMark.RECORDING, StripMark.PAUSED}:
            painter.setBrush(colour)
        self._draw(painter)
        painter.end()

    def _colour(self) -> QColor:
        match self.mark:
            case StripMark.RECORDING:
                return self._theme.colour("on_recording")
            case StripMark.TROUBLE:
                return self._theme.colour("outside")
            case StripMark.READY:
                return self._theme.colour("inside")
            case _:
                return self._theme.colour("soft_ink")

    def _draw(self, painter: QPainter) -> None:
        match self.mark:
            case StripMark.READY:
                painter.drawPolyline([QPointF(3, 10), QPointF(7, 14), QPointF(15, 4)])
            case StripMark.PAUSED:
                painter.drawRect(QRectF(4, 4, 2, 10))
                painter.drawRect(QRectF(12, 4, 2, 10))
            case StripMark.TROUBLE:
                painter.drawPolygon(QPolygonF([QPointF(9, 3), QPointF(16, 15), QPointF(2, 15)]))
                painter.drawLine(QPointF(9, 8), QPointF(9, 11))
            case StripMark.SAVED:
                painter.drawRect(QRectF(4, 2, 10, 14))
                painter.drawLine(QPointF(7, 7), QPointF(11, 7))
            case _:
                painter.drawEllipse(QPointF(9, 9), 5, 5)
