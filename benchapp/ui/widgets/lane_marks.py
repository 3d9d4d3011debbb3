"""What is written over a lane's picture: its scale, the lengths of its pulses, and what is under the pointer."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QPainter, QPen, QStaticText

from benchapp.ui.look.theme import Theme, font, text_scale
from benchapp.ui.look.tokens import Space, Type


@dataclass(frozen=True, kw_only=True, slots=True)
class Reading:
    """What is under the pointer in words, and the x of both ends of what it is about."""

    text: str
    left: float
    right: float


@dataclass(kw_only=True, slots=True)
class LaneMarks:
    """What is written.

    scale : (height 0 to 1, words)   lengths : (x of a pulse's end, room behind it, words)   note : words in the middle
    """

    scale: Sequence[tuple[float, str]] = ()
    lengths: list[tuple[float, float, str]] = field(default_factory=list)
    note: str = ""

    def forget(self) -> None:
        """Begin an empty lane."""
        self.scale, self.lengths, self.note = (), [], ""


def draw_marks(painter: QPainter, theme: Theme, room: QRectF, marks: LaneMarks) -> None:
    """Write the scale at the left edge, each pulse's length behind it, and the note in the middle."""
    if not (marks.scale or marks.lengths or marks.note):
        return
    painter.setFont(_letters(Type.CAPTION, text_scale()))
    metrics = QFontMetricsF(painter.font())
    painter.setPen(theme.colour("soft_ink"))
    for share, text in marks.scale:
        y = room.bottom() - share * room.height()
        top = min(max(y - metrics.height() / 2, room.top()), room.bottom() - metrics.height())
        _plate(painter, theme, QRectF(Space.HAIR, top, metrics.horizontalAdvance(text), metrics.height()), text)
    middle = room.center().y() - metrics.height() / 2
    for x, free, text in marks.lengths:
        wide = metrics.horizontalAdvance(text)
        if wide + 2 * Space.HAIR <= free:
            _plate(painter, theme, QRectF(x + Space.HAIR, middle, wide, metrics.height()), text)
    if marks.note:
        wide = metrics.horizontalAdvance(marks.note)
        _plate(painter, theme, QRectF(room.center().x() - wide / 2, middle, wide, metrics.height()), marks.note)


def draw_reading(painter: QPainter, theme: Theme, room: QRectF, reading: Reading) -> None:
    """Write what is under the pointer beside a line from one of its ends to the other."""
    painter.setFont(_letters(Type.BODY, text_scale(), bold=True))
    metrics = QFontMetricsF(painter.font())
    wide, high = metrics.horizontalAdvance(reading.text), metrics.height()
    left = min(max(reading.right + Space.HAIR, room.left()), room.right() - wide - Space.HAIR)
    painter.setPen(QPen(theme.colour("ink"), 1, Qt.PenStyle.DashLine))
    for x in {round(reading.left), round(reading.right)}:
        painter.drawLine(x, round(room.top()), x, round(room.bottom()))
    painter.setPen(theme.colour("ink"))
    place = QRectF(left, room.top() + Space.HAIR, wide, high)
    painter.fillRect(place.adjusted(-2, 0, 2, 0), theme.colour("plot"))
    painter.drawText(place, Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextDontClip, reading.text)


@lru_cache(maxsize=8)
def _letters(size: Type, scale: float, *, bold: bool = False) -> QFont:
    """Return letters of a size, where they are wished scale times as large; made once, not once a frame."""
    return font(size, bold=bold)


@lru_cache(maxsize=256)
def _laid_out(text: str, size: Type, scale: float) -> QStaticText:
    """Return words laid out once: a lane is painted thirty times a second."""
    words = QStaticText(text)
    words.setTextFormat(Qt.TextFormat.PlainText)
    words.prepare(font=_letters(size, scale))
    return words


def _plate(painter: QPainter, theme: Theme, place: QRectF, text: str) -> None:
    """Write small words on a plate of the lane's ground, so that no line runs through them."""
    painter.fillRect(place.adjusted(-2, 0, 2, 0), theme.colour("plot"))
    painter.drawStaticText(place.topLeft(), _laid_out(text, Type.CAPTION, text_scale()))
