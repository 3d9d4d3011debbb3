"""A drawing of the help as a picture for its page."""

from pathlib import Path

from PySide6.QtCore import QByteArray, QSize
from PySide6.QtGui import QImage, QPainter
from PySide6.QtSvg import QSvgRenderer

from benchapp.presentation.ground.colours import on_dark


def help_drawing(path: Path, *, dark: bool, scale: float, most_px: int, ratio: float) -> QImage:
    """Return a drawing `scale` times its own size, at most `most_px` wide, with `ratio` dots to a pixel.

    An empty picture where there is no such drawing.
    """
    try:
        svg = path.read_text(encoding="utf-8")
    except OSError:
        return QImage()
    renderer = QSvgRenderer(QByteArray((on_dark(svg) if dark else svg).encode()))
    own = renderer.defaultSize()
    wide = min(own.width() * scale, float(most_px))
    size = QSize(round(wide), round(own.height() * wide / max(own.width(), 1)))
    image = QImage(size * ratio, QImage.Format.Format_ARGB32_Premultiplied)
    image.fill(0)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    renderer.render(painter)
    painter.end()
    image.setDevicePixelRatio(ratio)
    return image
