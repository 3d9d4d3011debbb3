"""The practice bench's switch, large enough to hit without looking."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from benchapp.ui.look.theme import Theme, font
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.screens.tests_page.plate import draw_plate, draw_words, words_px

_DRAWN_FOR_PX = 224
"""The width of plate the lever is drawn for."""


class PracticeSwitch(QAbstractButton):
    """A two-position toggle. It shows where the switch stands; pressing it asks for a flip.

    It acts on the press, not on the release, as a real lever does.
    """

    flipped = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._up = False
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("The practice switch")
        self.setAccessibleDescription("down")
        self.setFont(font(Type.BODY, bold=True))
        self.pressed.connect(self.flipped)
        theme.changed.connect(self.update)

    def sizeHint(self) -> QSize:
        """Return a size a thumb would like."""
        return QSize(224, 280)

    def show_level(self, level: int) -> None:
        """Show where the switch stands."""
        if bool(level) != self._up:
            self._up = bool(level)
            self.setAccessibleDescription("up" if self._up else "down")
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw plate, nut, lever and words."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        draw_plate(painter, self._theme, self, ground="hairline" if self.isDown() else "card")
        words = ("Press to flip", "or the space bar") if self.isEnabled() else ("The run has ended", "")
        self._lever(painter, self.height() - sum(words_px(self, words)) - Space.WIDE)
        draw_words(painter, self._theme, self, words)
        painter.end()

    def _lever(self, painter: QPainter, room_px: float) -> None:
        """Draw nut and lever, as large as the plate above the words allows."""
        painter.save()
        painter.translate(QPointF(self.width() / 2, room_px / 2))
        size = min(self.width() / _DRAWN_FOR_PX, room_px / (2 * _DRAWN_FOR_PX))
        painter.scale(size, size)
        painter.setPen(QPen(self._theme.colour("control_edge"), 2))
        painter.setBrush(self._theme.colour("paper"))
        painter.drawEllipse(QPointF(0, 0), 46, 46)
        painter.drawEllipse(QPointF(0, 0), 30, 30)
        painter.rotate(0 if self._up else 180)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self._theme.colour("switch" if self.isEnabled() else "control_edge"))
        painter.drawRoundedRect(QRectF(-13, -150, 26, 163), 13, 13)
        painter.drawEllipse(QPointF(0, -146), 25, 25)
        painter.restore()
