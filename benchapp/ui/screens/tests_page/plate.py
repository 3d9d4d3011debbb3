"""The plate a practice control stands on: its ring while it has the keyboard, and two lines of words at its foot."""

from PySide6.QtCore import QRect, QRectF, Qt
from PySide6.QtGui import QFontMetrics, QPainter, QPen
from PySide6.QtWidgets import QWidget

from benchapp.ui.look.theme import Theme, font
from benchapp.ui.look.tokens import FOCUS_PX, RADIUS_PX, Space, Type

_WRAPPED = int(Qt.AlignmentFlag.AlignCenter) | int(Qt.TextFlag.TextWordWrap)


def draw_plate(painter: QPainter, theme: Theme, control: QWidget, *, ground: str = "card") -> None:
    """Draw the plate as large as its control; ground names its colour."""
    half = FOCUS_PX / 2
    ring = QPen(theme.colour("action"), FOCUS_PX)
    painter.setPen(ring if control.hasFocus() else QPen(theme.colour("control_edge"), 1))
    painter.setBrush(theme.colour(ground))
    painter.drawRoundedRect(QRectF(control.rect()).adjusted(half, half, -half, -half), RADIUS_PX, RADIUS_PX)


def words_px(control: QWidget, words: tuple[str, str]) -> tuple[int, int]:
    """Return the heights of both lines of words, which break where letters are large."""
    room = QRect(0, 0, control.width() - Space.LARGE, control.height())
    lines = zip((control.fontMetrics(), QFontMetrics(font(Type.CAPTION))), words, strict=True)
    first, second = (metrics.boundingRect(room, _WRAPPED, text).height() if text else 0 for metrics, text in lines)
    return first, second


def draw_words(painter: QPainter, theme: Theme, control: QWidget, words: tuple[str, str]) -> None:
    """Draw both lines at the foot of the plate."""
    high, low = words_px(control, words)
    place = QRect(Space.SMALL, control.height() - Space.MEDIUM - high - low, control.width() - Space.LARGE, high)
    painter.setPen(theme.colour("ink" if control.isEnabled() else "soft_ink"))
    painter.setFont(control.font())
    painter.drawText(place, _WRAPPED, words[0])
    painter.setFont(font(Type.CAPTION))
    painter.setPen(theme.colour("soft_ink"))
    painter.drawText(QRect(place.left(), place.bottom() + 1, place.width(), low), _WRAPPED, words[1])
