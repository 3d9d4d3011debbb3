"""Small drawn marks: a lead's colour, a step's state. Their meaning always stands beside them in words."""

from enum import StrEnum

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPixmap
from PySide6.QtWidgets import QSizePolicy, QWidget

from benchapp.ui.look.theme import Theme


class StepState(StrEnum):
    """Whether a step is done, is the one shown, or is still to come."""

    OPEN = "open"
    HERE = "here"
    DONE = "done"


def step_mark(state: StepState, colour: QColor, ratio: float, side_px: int = 18) -> QPixmap:
    """Return the mark of a step: a ring, a disc or a tick."""
    pixmap = QPixmap(QSize(round(side_px * ratio), round(side_px * ratio)))
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    pen = QPen(colour, 2, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin)
    painter.setPen(pen)
    middle, radius = side_px / 2, side_px / 2 - 4
    if state is StepState.DONE:
        corners = [(0.20, 0.55), (0.42, 0.76), (0.82, 0.28)]
        painter.drawPolyline([QPointF(x * side_px, y * side_px) for x, y in corners])
    else:
        if state is StepState.HERE:
            painter.setBrush(colour)
        painter.drawEllipse(QPointF(middle, middle), radius, radius)
    painter.end()
    return pixmap


class RoleMark(QWidget):
    """An upright bar in the colour of a lead, beside its name."""

    def __init__(self, theme: Theme, role: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self.role = role
        self.setFixedWidth(6)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Expanding)
        theme.changed.connect(self.update)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the bar."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self._theme.role_colour(self.role))
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(0, 2, -1, -2), 2.5, 2.5)
        painter.end()
