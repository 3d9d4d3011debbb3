"""A photo with its caption; what it shows a screen reader says in words."""

from PySide6.QtCore import QByteArray, QRectF, QSize
from PySide6.QtGui import QImage, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from benchapp.records.photo import jpeg_size_px
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.labels import PlainLabel


def image_of(jpeg: bytes) -> QImage:
    """Return the picture in a JPEG, an empty one where it cannot be read: a session's bytes are not trusted.

    Only what jpeg_size_px lets through is decoded: one scan of at most 2,048 pixels a side, in hundredths of a second.
    """
    image = QImage()
    if jpeg_size_px(jpeg) is not None:
        image.loadFromData(QByteArray(jpeg), "JPEG")
    return image


class Picture(QWidget):
    """Shows an image as large as fits, never larger than its own pixels."""

    def __init__(self, image: QImage, *, highest_px: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._highest_px = highest_px
        self._image = image
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def show_image(self, image: QImage) -> None:
        """Show another image."""
        self._image = image
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        """Return the size it is shown in where there is room."""
        return self._size(self._image.width())

    def hasHeightForWidth(self) -> bool:
        """Return that the picture keeps its shape."""
        return True

    def heightForWidth(self, width: int) -> int:
        """Return the height that goes with a width."""
        return self._size(width).height()

    def _size(self, width: int) -> QSize:
        own = self._image.size()
        if own.isEmpty():
            return QSize(0, 0)
        share = min(1.0, width / own.width(), self._highest_px / own.height())
        return QSize(round(own.width() * share), round(own.height() * share))

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the picture, at the left."""
        size = self._size(self.width())
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
        painter.drawImage(QRectF(0, 0, size.width(), size.height()), self._image)
        painter.end()


class PhotoView(QWidget):
    """Shows a photo and its caption, words where it cannot be shown."""

    def __init__(self, jpeg: bytes, *, alt: str, caption: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        image = image_of(jpeg)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, Space.SMALL, 0, 0)
        column.setSpacing(Space.SMALL)
        if image.isNull():
            caption = "There is a photo of the bench, but it cannot be shown: it is damaged."
        else:
            self.picture = Picture(image, highest_px=420)
            self.picture.setAccessibleName(alt)
            column.addWidget(self.picture)
        self.caption = PlainLabel(caption, Type.BODY, soft=True, wrap=True)
        column.addWidget(self.caption)
