"""The curve of a sweep as it grows against its line."""

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from benchapp.presentation.live.sweep_curve import CURVE, CurveShown
from benchapp.ui.look.theme import Theme, font, use_lengths
from benchapp.ui.look.tokens import Space, Type

_LEAST_PX = 120


class CurvePicture(QWidget):
    """Pulse against stick: going up as a solid line, coming down as a dashed one, the closest straight line thin."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self.curve: CurveShown | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        use_lengths(self, minimumHeight=_LEAST_PX)
        self.setAccessibleName(CURVE)
        theme.changed.connect(self.update)

    def sizeHint(self) -> QSize:
        """Return a size that suits the right part of a card."""
        return QSize(260, 180)

    def show_curve(self, curve: CurveShown | None) -> None:
        """Show the curve as it is now; None hides the picture."""
        self.curve = curve
        self.setVisible(curve is not None)
        self.update()

    def plot(self) -> QRectF:
        """Return where the curve is drawn: right of its scale's words."""
        metrics = QFontMetricsF(font(Type.CAPTION))
        words = [text for _, text in self.curve.ticks] if self.curve is not None else []
        left = max((metrics.horizontalAdvance(text) for text in words), default=0.0) + Space.SMALL
        return QRectF(self.rect()).adjusted(left, metrics.height() / 2, -Space.HAIR, -metrics.height() / 2)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the scale, the straight line, and both ways of the curve."""
        if self.curve is None:
            return
        painter, plot = QPainter(self), self.plot()
        painter.setFont(font(Type.CAPTION))
        for share, text in self.curve.ticks:
            y = plot.bottom() - share * plot.height()
            painter.setPen(QPen(self._theme.colour("hairline"), 1))
            painter.drawLine(QPointF(plot.left(), y), QPointF(plot.right(), y))
            painter.setPen(self._theme.colour("soft_ink"))
            place = QRectF(0, y - plot.top(), plot.left() - Space.HAIR, 2 * plot.top())
            painter.drawText(place, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, text)
        self._line(painter, plot, self.curve.line, QPen(self._theme.colour("ink"), 1))
        output = self._theme.role_colour("output")
        self._line(painter, plot, self.curve.up, QPen(output, 2))
        self._line(painter, plot, self.curve.down, QPen(output, 2, Qt.PenStyle.DashLine))
        painter.end()

    def _line(self, painter: QPainter, plot: QRectF, points: Sequence[tuple[float, float]], pen: QPen) -> None:
        painter.setPen(pen)
        corners = [QPointF(plot.left() + x * plot.width(), plot.bottom() - y * plot.height()) for x, y in points]
        painter.drawPolyline(QPolygonF(corners))
