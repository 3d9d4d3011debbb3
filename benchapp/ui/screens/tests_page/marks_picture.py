"""The marks of a sweep by stops: where the next one lies, and which way to come to it."""

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from benchapp.presentation.live.stick_view import StickShown
from benchapp.presentation.sweep.stick_words import position_words
from benchapp.ui.look.theme import Theme, font, use_lengths
from benchapp.ui.look.tokens import Space, Type

_LEAST_PX = 120
_TICK_PX = 14.0
_ARROW_PX = 22.0


class MarksPicture(QWidget):
    """A scale with a tick for each mark; a triangle stands at the next one and points the way to come to it."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._marks: tuple[float, ...] = ()
        self._percent = False
        self._next: float | None = None
        self._rising: bool | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        use_lengths(self, minimumHeight=_LEAST_PX)
        self.setAccessibleName("The marks, and the next one")
        theme.changed.connect(self.update)

    def sizeHint(self) -> QSize:
        """Return a size that suits a card."""
        return QSize(640, 140)

    def show_marks(self, marks: Sequence[float], *, percent: bool) -> None:
        """Show the marks of a run that begins."""
        self._marks, self._percent = tuple(marks), percent
        self._next = None
        self.update()

    def show_stick(self, stick: StickShown) -> None:
        """Show which mark is next."""
        if (stick.next_deg, stick.rising) != (self._next, self._rising):
            self._next, self._rising = stick.next_deg, stick.rising
            words = "" if self._next is None else position_words(self._next, percent=self._percent)
            self.setAccessibleDescription(words)
            self.update()

    def _x(self, position: float) -> float:
        low, high = self._marks[0], self._marks[-1]
        side = max(Space.WIDE, self.fontMetrics().horizontalAdvance("−30.5°"))
        return side + (position - low) / ((high - low) or 1.0) * (self.width() - 2 * side)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the scale, the ticks with their words, and the triangle."""
        painter = QPainter(self)
        if not self._marks:
            painter.end()
            return
        painter.setFont(font(Type.BODY))
        middle = self.height() / 2
        painter.setPen(QPen(self._theme.colour("control_edge"), 2))
        painter.drawLine(QPointF(self._x(self._marks[0]), middle), QPointF(self._x(self._marks[-1]), middle))
        every = self._every(painter)
        for number, position in enumerate(self._marks):
            chosen = position == self._next
            painter.setPen(QPen(self._theme.colour("ink" if chosen else "control_edge"), 4 if chosen else 2))
            x = self._x(position)
            painter.drawLine(QPointF(x, middle - _TICK_PX), QPointF(x, middle + _TICK_PX))
            if chosen or (number % every == 0 and not self._near_next(number, every)):
                self._word(painter, position, x, middle, chosen=chosen)
        if self._next is not None:
            self._arrow(painter, self._x(self._next), middle)
        painter.end()

    def _every(self, painter: QPainter) -> int:
        """Return which ticks have words, so that none stands over another."""
        room = (self.width() - 2 * Space.WIDE) / max(len(self._marks) - 1, 1)
        return max(1, -(-painter.fontMetrics().horizontalAdvance("−30.5° ") // max(int(room), 1)))

    def _near_next(self, number: int, every: int) -> bool:
        return self._next in self._marks and 0 < abs(number - self._marks.index(self._next)) < every

    def _word(self, painter: QPainter, position: float, x: float, middle: float, *, chosen: bool) -> None:
        painter.setFont(font(Type.LEAD if chosen else Type.BODY, bold=chosen))
        painter.setPen(self._theme.colour("ink" if chosen else "soft_ink"))
        height = painter.fontMetrics().height()
        place = QRectF(x - 60, middle + _TICK_PX + Space.HAIR, 120, height)
        painter.drawText(place, Qt.AlignmentFlag.AlignCenter, position_words(position, percent=self._percent))

    def _arrow(self, painter: QPainter, x: float, middle: float) -> None:
        """Draw a triangle beside the mark, on the side to come from, pointing at it."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self._theme.colour("action"))
        tip_y = middle - _TICK_PX - _ARROW_PX / 2 - Space.HAIR
        way = 1.0 if self._rising in (True, None) else -1.0
        back = x - way * _ARROW_PX
        half = _ARROW_PX / 2
        painter.drawPolygon(QPolygonF([QPointF(x, tip_y), QPointF(back, tip_y - half), QPointF(back, tip_y + half)]))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
