"""A page of the help on paper: as a PDF, in the light colours, with sharp drawings."""

from pathlib import Path
from typing import Any

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QMarginsF, QSaveFile, QUrl
from PySide6.QtGui import QPageLayout, QPageSize, QPdfWriter, QTextDocument

from benchapp.ui.look.theme import font
from benchapp.ui.look.tokens import LIGHT, Type
from benchapp.ui.screens.help.browser import help_file, page_text
from benchapp.ui.screens.help.contents import PAGES
from benchapp.ui.screens.help.drawings import help_drawing
from benchapp.ui.screens.help.dressing import style_sheet

_DOTS_PER_INCH = 96
_SHARPNESS = 4.0
_MARGIN_MM = 20.0


class _PaperDocument(QTextDocument):
    """A document that knows the help's own drawings and nothing else."""

    most_px = 640

    def loadResource(self, kind: int, url: QUrl | str) -> Any:
        name = url.toString() if isinstance(url, QUrl) else url
        if kind != QTextDocument.ResourceType.ImageResource.value or "/" in name or not name.endswith(".svg"):
            return QByteArray()
        return help_drawing(help_file(name), dark=False, scale=1.0, most_px=self.most_px, ratio=_SHARPNESS)


def page_pdf(page: str) -> bytes:
    """Return a page of the help as a PDF on A4."""
    kept = QByteArray()
    buffer = QBuffer(kept)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setTitle(PAGES.get(page, page))
    writer.setResolution(_DOTS_PER_INCH)
    writer.setPageSize(QPageSize(QPageSize.PageSizeId.A4))
    writer.setPageMargins(QMarginsF(_MARGIN_MM, _MARGIN_MM, _MARGIN_MM, _MARGIN_MM), QPageLayout.Unit.Millimeter)
    document = _PaperDocument()
    letters = font(Type.BODY)
    letters.setPointSizeF(float(Type.CAPTION))
    document.setDefaultFont(letters)
    document.most_px = round(writer.width()) - 8
    document.setDefaultStyleSheet(style_sheet(LIGHT, Type.CAPTION / Type.LEAD))
    document.setHtml(page_text(page))
    document.setPageSize(writer.pageLayout().paintRectPixels(_DOTS_PER_INCH).size().toSizeF())
    document.print_(writer)
    del writer
    buffer.close()
    return bytes(kept.data())


def save_page(page: str, path: Path) -> bool:
    """Write a page of the help as a PDF, whole or not at all; return whether it was written."""
    file = QSaveFile(str(path))
    if not file.open(QSaveFile.OpenModeFlag.WriteOnly):
        return False
    file.write(QByteArray(page_pdf(page)))
    return file.commit()
