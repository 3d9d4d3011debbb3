"""Shows help pages from the program's own files, in the theme's colours, and nothing from anywhere else."""

import re
from pathlib import Path
from typing import Any

from PySide6.QtCore import QByteArray, QUrl, Slot
from PySide6.QtGui import QImage, QPainter, QTextDocument
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QTextBrowser, QWidget

from benchapp.assets import resource
from benchapp.presentation.figures.colours import on_dark
from benchapp.ui.theme import Theme, font
from benchapp.ui.tokens import DARK, Space, Type

_PAGE = re.compile(r"[a-z-]+\.html")
_DRAWING = re.compile(r"[a-z-]+\.svg")
MISSING = "<h1>Help</h1><p>This page of the help is missing. Install the program anew.</p>"


def help_file(name: str) -> Path:
    """Return where a file of the help lies."""
    return resource("help") / name


class HelpBrowser(QTextBrowser):
    """Follows links between the help's own pages only."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self.page = ""
        self.setOpenLinks(False)
        self.setOpenExternalLinks(False)
        self.setUndoRedoEnabled(False)
        self.document().setDocumentMargin(Space.LARGE)
        self.setFont(font(Type.LEAD))
        self.setAccessibleName("Help")
        self.anchorClicked.connect(self._follow)
        theme.changed.connect(self._show_again)

    def show_page(self, page: str) -> None:
        """Show one page by its name, without its ending."""
        self.page = page
        name = f"{page}.html"
        try:
            text = help_file(name).read_text(encoding="utf-8") if _PAGE.fullmatch(name) else MISSING
        except OSError:
            text = MISSING
        tokens = self._theme.tokens
        self.document().setDefaultStyleSheet(
            f"body, li, td {{ color: {tokens.ink}; }} h1 {{ font-size: {int(Type.TITLE)}pt; }} "
            f"h3 {{ font-size: {int(Type.LEAD)}pt; }} a {{ color: {tokens.action}; }} li {{ margin-bottom: 6px; }} "
            f".more {{ color: {tokens.soft_ink}; margin-top: 24px; font-size: {int(Type.CAPTION)}pt; }}"
        )
        self.setHtml(text)
        self.verticalScrollBar().setValue(0)

    @Slot()
    def _show_again(self) -> None:
        if self.page:
            self.show_page(self.page)

    @Slot(QUrl)
    def _follow(self, url: QUrl) -> None:
        name = url.toString()
        if _PAGE.fullmatch(name):
            self.show_page(name.removesuffix(".html"))

    def loadResource(self, kind: int, url: QUrl | str) -> Any:
        """Give out the help's own drawings; anything else stays empty."""
        name = url.toString() if isinstance(url, QUrl) else url
        if kind != QTextDocument.ResourceType.ImageResource.value or not _DRAWING.fullmatch(name):
            return QByteArray()
        return self._drawing(name)

    def _drawing(self, name: str) -> QImage:
        try:
            svg = help_file(name).read_text(encoding="utf-8")
        except OSError:
            return QImage()
        renderer = QSvgRenderer(QByteArray((on_dark(svg) if self._theme.tokens is DARK else svg).encode()))
        ratio = self.devicePixelRatioF()
        image = QImage(renderer.defaultSize() * ratio, QImage.Format.Format_ARGB32_Premultiplied)
        image.fill(0)
        painter = QPainter(image)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        renderer.render(painter)
        painter.end()
        image.setDevicePixelRatio(ratio)
        return image
