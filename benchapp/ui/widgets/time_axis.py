"""The scale below the lanes: seconds before now, fixed."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from benchapp.presentation.numbers import MINUS, at_places
from benchapp.ui.theme import Theme, font
from benchapp.ui.tokens import Space, Type

_PARTS = 4
_TICK_PX = 5
_LABEL_PX = 96


class TimeAxis(QWidget):
    """Draws the same few marks for ever; only the window's length changes them."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._window_s = 2.0
        self.setFont(font(Type.CAPTION))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self.update)

    def sizeHint(self) -> QSize:
        """Return room for a tick and one line of text."""
        return QSize(200, self.fontMetrics().height() + _TICK_PX + Space.HAIR)

    def labels(self) -> list[str]:
        """Return the text of each mark, the oldest first."""
        marks = []
        for part in range(_PARTS):
            seconds = self._window_s * (_PARTS - part) / _PARTS
            marks.append(f"{MINUS}{at_places(seconds, 3 if self._window_s < 1 else 2).rstrip('0').rstrip('.')} s")
        return [*marks, "now"]

    def show_window(self, window_s: float) -> None:
        """Show marks for another length of window."""
        self._window_s = window_s
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw ticks and words."""
        painter = QPainter(self)
        painter.setFont(self.font())
        for part, text in enumerate(self.labels()):
            x = round((self.width() - 1) * part / _PARTS)
            painter.setPen(self._theme.colour("control_edge"))
            painter.drawLine(x, 0, x, _TICK_PX)
            painter.setPen(self._theme.colour("soft_ink"))
            left = min(max(x - _LABEL_PX / 2, 0), self.width() - _LABEL_PX)
            side = Qt.AlignmentFlag.AlignHCenter
            if part == 0:
                side = Qt.AlignmentFlag.AlignLeft
            elif part == _PARTS:
                side = Qt.AlignmentFlag.AlignRight
            painter.drawText(QRectF(left, _TICK_PX, _LABEL_PX, self.height() - _TICK_PX), side, text)
        painter.end()
