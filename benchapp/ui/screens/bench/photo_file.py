"""A photo read from a file that anybody may have made: small, upright, and with nothing in it but the picture."""

from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QFile, QIODevice, QSize, Qt
from PySide6.QtGui import QColorSpace, QImage, QImageReader, QImageWriter, QPainter

from benchapp.presentation.ground.cleaning import clean
from benchapp.records.photo import MOST_BYTES, scans_of

KINDS = frozenset({b"jpeg", b"png"})
ENDINGS = (".jpg", ".jpeg", ".png")
LONGEST_SIDE_PX = 1600
MOST_FILE_BYTES = 60_000_000
MOST_PIXELS = 200_000_000
MOST_SCANS = 40
"""A progressive picture of a camera or an editor has about ten scans; a thumbnail inside adds its own."""
_MOST_MEMORY_MB = 900
_QUALITIES = (82, 70, 55, 40)
_TAKE_ANOTHER = "Choose a photo as JPEG or PNG."


@dataclass(frozen=True, kw_only=True, slots=True)
class PhotoRead:
    """A photo fit to be kept, or why there is none in whole sentences."""

    jpeg: bytes | None = None
    refusal: str = ""


def read_photo(path: Path) -> PhotoRead:
    """Return a file's photo as a JPEG of at most 1600 pixels a side, made anew from the pixels alone.

    Place, time, names and whatever else a camera or a program wrote into the file are not in it.
    """
    name = clean(path.name, limit=80)
    file = QFile(str(path))
    if not path.is_file() or not file.open(QIODevice.OpenModeFlag.ReadOnly):
        return _refused(f"{name} cannot be read.")
    reader = QImageReader(file)
    reader.setDecideFormatFromContent(True)
    why = _unfit(reader, file.size())
    if why:
        return _refused(f"{name} {why}")
    image = _picture(reader)
    if image.isNull():
        return _refused(f"{name} is damaged: its picture cannot be read.")
    jpeg = _jpeg_of(_pixels_alone(image))
    return PhotoRead(jpeg=jpeg) if jpeg is not None else _refused(f"{name} could not be made smaller.")


def _unfit(reader: QImageReader, file_bytes: int) -> str:
    """Return why a file is not even begun with, "" where it is fit; nothing of its picture is read for that."""
    if file_bytes > MOST_FILE_BYTES:
        return f"is larger than {MOST_FILE_BYTES // 1_000_000} MB."
    if bytes(reader.format().data()) not in KINDS:
        return "is no JPEG and no PNG, whatever its name says."
    if bytes(reader.format().data()) == b"jpeg" and _scans(reader) > MOST_SCANS:
        return "is made of more passes than a camera makes."
    size = reader.size()
    if not size.isValid() or size.isEmpty():
        return "does not say how large its picture is."
    if size.width() * size.height() > MOST_PIXELS:
        return f"has {size.width()} by {size.height()} pixels, more than a photo has."
    return ""


def _scans(reader: QImageReader) -> int:
    """Return how many scans a JPEG begins; the device stands afterwards where it stood."""
    device = reader.device()
    at = device.pos()
    device.seek(0)
    count = scans_of(bytes(device.readAll().data()))
    device.seek(at)
    return count


def _picture(reader: QImageReader) -> QImage:
    """Return the picture, upright and small enough; an empty one where it cannot be read."""
    size, longest = reader.size(), QSize(LONGEST_SIDE_PX, LONGEST_SIDE_PX)
    reader.setAutoTransform(True)
    if max(size.width(), size.height()) > LONGEST_SIDE_PX:
        reader.setScaledSize(size.scaled(longest, Qt.AspectRatioMode.KeepAspectRatio))
    # For the whole program and for good: this runs beside the window's thread, and nothing else reads large pictures.
    QImageReader.setAllocationLimit(_MOST_MEMORY_MB)
    return reader.read()


def _refused(why: str) -> PhotoRead:
    return PhotoRead(refusal=f"{why} {_TAKE_ANOTHER} Nothing was changed.")


def _pixels_alone(image: QImage) -> QImage:
    """Return the picture on white as plain pixels in the usual colours; texts and profiles stay behind."""
    if image.colorSpace().isValid():
        image.convertToColorSpace(QColorSpace(QColorSpace.NamedColorSpace.SRgb))
    plain = QImage(image.size(), QImage.Format.Format_RGB32)
    plain.fill(Qt.GlobalColor.white)
    painter = QPainter(plain)
    painter.drawImage(0, 0, image)
    painter.end()
    return plain


def _jpeg_of(image: QImage) -> bytes | None:
    """Return the picture as a JPEG that a session takes, as good as fits."""
    for quality in _QUALITIES:
        kept = QByteArray()
        buffer = QBuffer(kept)
        buffer.open(QIODevice.OpenModeFlag.WriteOnly)
        writer = QImageWriter(buffer, QByteArray(b"jpeg"))
        writer.setQuality(quality)
        if not writer.write(image):
            return None
        if kept.size() <= MOST_BYTES:
            return bytes(kept.data())
    return None
