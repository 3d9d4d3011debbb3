"""A figure drawn as SVG, on white paper in both themes, as wide as its page up to its own size."""

from PySide6.QtCore import QByteArray, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QSizePolicy, QWidget

_LARGEST_SCALE = 1.25


class SvgPicture(QWidget):
    """Shows one figure of a page; alt is what a screen reader says in its place."""

    def __init__(self, svg: str, *, width: float, height: float, alt: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._own_width, self._own_height = max(width, 1.0), max(height, 1.0)
        self._renderer = QSvgRenderer(QByteArray(svg.encode()), self)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setAccessibleName(alt)

    def sizeHint(self) -> QSize:
        """Return the figure's own size."""
        return QSize(round(self._own_width), round(self._own_height))

    def hasHeightForWidth(self) -> bool:
        """Return that the figure keeps its shape."""
        return True

    def heightForWidth(self, width: int) -> int:
        """Return the height that goes with a width."""
        return round(self._scale(width) * self._own_height)

    def _scale(self, width: int) -> float:
        return min(width / self._own_width, _LARGEST_SCALE)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the figure, at the left."""
        scale = self._scale(self.width())
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        place = QRectF(0, 0, scale * self._own_width, scale * self._own_height)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(Qt.GlobalColor.white)
        painter.drawRoundedRect(place, 6, 6)
        self._renderer.render(painter, place)
        painter.end()
