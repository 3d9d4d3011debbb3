"""The drawing on the first page: a flip, the pulses that follow it, and the time between them."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from benchapp.ui.look.theme import Theme, font, use_lengths
from benchapp.ui.look.tokens import Space, Type

_NAMES = ("Your switch", "The servo's pulse")
_TOOK = "how long it took"
_DRAWN_FOR_PX = 148
"""The height the drawing was made for; it stretches with the room there is."""
_FLATTEST_PX, _TALLEST_PX = 98, 208
_PULSES = 9
_ANSWER = 5
"""The first pulse of the new length."""
_SHORT, _LONG = 0.30, 0.62
_FLIP_AT = 2.45


class DelayPicture(QWidget):
    """Shows what the program measures, in the colours the lanes use."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._left = 0
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        use_lengths(self, minimumHeight=_FLATTEST_PX, maximumHeight=_TALLEST_PX)
        self.setAccessibleName("Drawing: a switch is flipped; some pulses later the receiver's pulses are longer")
        theme.changed.connect(self.update)

    def sizeHint(self) -> QSize:
        """Return a flat strip; it grows with the room there is."""
        return QSize(640, _FLATTEST_PX)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw both lines and the span between them."""
        painter = QPainter(self)
        painter.setFont(font(Type.BODY))
        self._left = Space.LARGE + max(painter.fontMetrics().horizontalAdvance(name) for name in _NAMES)
        step = (self.width() - self._left - Space.SMALL) / _PULSES
        flip_x = self._left + _FLIP_AT * step
        answer_x = self._left + (_ANSWER + _LONG) * step
        tall = self.height() / _DRAWN_FOR_PX
        self._shade(painter, flip_x, answer_x, tall)
        for middle, name in zip((30, 96), _NAMES, strict=True):
            self._name(painter, middle * tall, name)
        self._switch_line(painter, flip_x, tall)
        self._pulse_line(painter, step, tall)
        self._span(painter, flip_x, answer_x, 130 * tall)
        painter.end()

    def _shade(self, painter: QPainter, flip_x: float, answer_x: float, tall: float) -> None:
        ground = QColor(self._theme.colour("action"))
        ground.setAlphaF(0.08)
        painter.fillRect(QRectF(flip_x, 8 * tall, answer_x - flip_x, 112 * tall), ground)

    def _name(self, painter: QPainter, middle: float, text: str) -> None:
        painter.setPen(self._theme.colour("ink"))
        side = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        high = painter.fontMetrics().height()
        painter.drawText(QRectF(0, middle - high / 2, self._left, high), side, text)

    def _switch_line(self, painter: QPainter, flip_x: float, tall: float) -> None:
        painter.setPen(QPen(self._theme.colour("switch"), 2))
        right = self.width() - Space.SMALL
        corners = [(self._left, 44), (flip_x, 44), (flip_x, 16), (right, 16)]
        painter.drawPolyline(QPolygonF([QPointF(round(x), round(y * tall)) for x, y in corners]))

    def _pulse_line(self, painter: QPainter, step: float, tall: float) -> None:
        painter.setPen(QPen(self._theme.colour("output"), 2))
        corners = []
        for pulse in range(_PULSES):
            left = self._left + pulse * step
            end = left + (_LONG if pulse >= _ANSWER else _SHORT) * step
            corners += [(left, 112), (left, 80), (end, 80), (end, 112), (left + step, 112)]
        painter.drawPolyline(QPolygonF([QPointF(round(x), round(y * tall)) for x, y in corners]))

    def _span(self, painter: QPainter, flip_x: float, answer_x: float, middle: float) -> None:
        painter.setPen(QPen(self._theme.colour("action"), 2))
        painter.drawLine(QPointF(flip_x, middle), QPointF(answer_x, middle))
        for x in (flip_x, answer_x):
            painter.drawLine(QPointF(x, middle - 6), QPointF(x, middle + 6))
        painter.setPen(self._theme.colour("ink"))
        metrics = painter.fontMetrics()
        wide, high = metrics.horizontalAdvance(_TOOK) + 1, metrics.height()
        after = answer_x + Space.SMALL
        # beside the span, on whichever side has room
        left = after if after + wide <= self.width() else flip_x - Space.SMALL - wide
        painter.drawText(QRectF(left, middle - high / 2, wide, high), Qt.AlignmentFlag.AlignVCenter, _TOOK)
