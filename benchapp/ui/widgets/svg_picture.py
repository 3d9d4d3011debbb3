"""A figure drawn as SVG in the colours of the theme, as wide as its page up to its own size."""

from PySide6.QtCore import QByteArray, QRectF, QSize, Slot
from PySide6.QtGui import QImage, QPainter, QPaintEvent
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QSizePolicy, QWidget

from benchapp.presentation.ground.colours import on_dark
from benchapp.presentation.ground.page import Figure
from benchapp.ui.look.theme import Theme, text_scale
from benchapp.ui.look.tokens import DARK

_LARGEST_SCALE = 1.25
_IMAGE_SCALE = 2


class SvgPicture(QWidget):
    """Shows one figure of a page; its alt is what a screen reader says in its place.

    largest : how many times its own size it is drawn at most, with letters of the usual size
    """

    def __init__(
        self, theme: Theme, figure: Figure, *, largest: float = _LARGEST_SCALE, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._theme = theme
        self._largest = largest
        self._renderer = QSvgRenderer(self)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        theme.changed.connect(self._draw_anew)
        self.show_figure(figure)

    def show_figure(self, figure: Figure) -> None:
        """Show another figure in this one's place."""
        self.figure = figure
        self.setAccessibleName(figure.alt)
        self.updateGeometry()
        self._draw_anew()

    @Slot()
    def _draw_anew(self) -> None:
        svg = on_dark(self.figure.svg) if self._theme.tokens is DARK else self.figure.svg
        self._renderer.load(QByteArray(svg.encode()))
        self.update()

    def image(self) -> QImage:
        """Return the figure on paper's white, twice its size, as for a document."""
        image = QImage(self.sizeHint() * _IMAGE_SCALE, QImage.Format.Format_RGB32)
        image.fill(0xFFFFFF)
        painter = QPainter(image)
        QSvgRenderer(QByteArray(self.figure.svg.encode())).render(painter)
        painter.end()
        return image

    def sizeHint(self) -> QSize:
        """Return the figure's own size."""
        return QSize(max(round(self.figure.width), 1), max(round(self.figure.height), 1))

    def hasHeightForWidth(self) -> bool:
        """Return that the figure keeps its shape."""
        return True

    def heightForWidth(self, width: int) -> int:
        """Return the height that goes with a width."""
        return round(self._scale(width) * self.figure.height)

    def _scale(self, width: int) -> float:
        return min(width / max(self.figure.width, 1.0), self._largest * max(text_scale(), 1.0))

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the figure, at the left."""
        scale = self._scale(self.width())
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._renderer.render(painter, QRectF(0, 0, scale * self.figure.width, scale * self.figure.height))
        painter.end()
