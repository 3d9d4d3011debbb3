"""The scale below the lanes: seconds before the newest moment."""

from itertools import pairwise

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from benchapp.presentation.ground.numbers import MINUS, at_places, decimal_mark
from benchapp.ui.look.theme import Theme, font
from benchapp.ui.look.tokens import Space, Type

_PARTS = 4
_TICK_PX = 5
_PLACES = ((1.0, 2), (0.1, 3), (0.01, 4))
"""How many decimals a window of at least so many seconds has."""


class TimeAxis(QWidget):
    """Draws the scale: its marks stay where they are, and their numbers change with the length of time shown."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._window_s = 2.0
        self._ago_s = 0.0
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
            marks.append(self._mark(self._ago_s + self._window_s * (_PARTS - part) / _PARTS))
        return [*marks, "now" if self._ago_s <= 0 else self._mark(self._ago_s)]

    def _mark(self, seconds: float) -> str:
        """Return a moment so many seconds ago, with as many decimals as tell the marks apart."""
        number = at_places(seconds, next((p for least, p in _PLACES if self._window_s >= least), 5))
        return f"{MINUS}{number.rstrip('0').rstrip(decimal_mark()) if decimal_mark() in number else number} s"

    def placed_labels(self) -> list[tuple[QRectF, str]]:
        """Return each mark that is written and where, oldest first: all, every other or the ends, as there is room."""
        labels = list(enumerate(self.labels()))
        placed: list[tuple[QRectF, str]] = []
        for step in (1, 2, _PARTS):
            placed = [(self._place(part, text), text) for part, text in labels[::step]]
            between = Space.SMALL
            if all(one.right() + between <= other.left() for (one, _), (other, _) in pairwise(placed)):
                break
        return placed

    def _place(self, part: int, text: str) -> QRectF:
        """Return the place of a mark's text: below its tick, and within the scale."""
        wide = self.fontMetrics().horizontalAdvance(text)
        left = min(max(self._tick(part) - wide / 2, 0), max(self.width() - wide, 0))
        return QRectF(left, _TICK_PX, wide, self.height() - _TICK_PX)

    def _tick(self, part: int) -> int:
        return round((self.width() - 1) * part / _PARTS)

    def show_window(self, window_s: float, *, ago_s: float = 0.0) -> None:
        """Show marks for another length of window, whose right edge lies so many seconds before the newest moment."""
        self._window_s, self._ago_s = window_s, ago_s
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw ticks and words."""
        painter = QPainter(self)
        painter.setFont(self.font())
        painter.setPen(self._theme.colour("control_edge"))
        for part in range(_PARTS + 1):
            painter.drawLine(self._tick(part), 0, self._tick(part), _TICK_PX)
        painter.setPen(self._theme.colour("soft_ink"))
        for place, text in self.placed_labels():
            painter.drawText(place, Qt.AlignmentFlag.AlignHCenter | Qt.TextFlag.TextDontClip, text)
        painter.end()
