"""The practice bench's switch, large enough to hit without looking."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from benchapp.ui.theme import Theme, font
from benchapp.ui.tokens import FOCUS_PX, RADIUS_PX, Space, Type

_WORDS_PX = 60
"""The height of the words below the lever."""
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
        """Draw plate, nut and lever."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._plate(painter)
        middle = QPointF(self.width() / 2, (self.height() - _WORDS_PX) / 2)
        self._lever(painter, middle)
        painter.setPen(self._theme.colour("ink" if self.isEnabled() else "soft_ink"))
        words = QRectF(0, self.height() - _WORDS_PX - Space.SMALL, self.width(), 24)
        painter.drawText(
            words, Qt.AlignmentFlag.AlignCenter, "Press to flip" if self.isEnabled() else "The run has ended"
        )
        painter.setFont(font(Type.CAPTION))
        painter.setPen(self._theme.colour("soft_ink"))
        if self.isEnabled():
            painter.drawText(words.translated(0, 22), Qt.AlignmentFlag.AlignCenter, "or the space bar")
        painter.end()

    def _plate(self, painter: QPainter) -> None:
        half = FOCUS_PX / 2
        if self.hasFocus():
            painter.setPen(QPen(self._theme.colour("action"), FOCUS_PX))
        else:
            painter.setPen(QPen(self._theme.colour("control_edge"), 1))
        painter.setBrush(self._theme.colour("hairline" if self.isDown() else "card"))
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(half, half, -half, -half), RADIUS_PX, RADIUS_PX)

    def _lever(self, painter: QPainter, middle: QPointF) -> None:
        """Draw nut and lever, as large as the plate allows."""
        painter.save()
        painter.translate(middle)
        size = min(self.width() / _DRAWN_FOR_PX, (self.height() - _WORDS_PX) / (2 * _DRAWN_FOR_PX))
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
