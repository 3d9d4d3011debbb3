"""Shows help pages from the program's own files, in the theme's colours, and nothing from anywhere else."""

import re
from pathlib import Path
from typing import Any

from PySide6.QtCore import QByteArray, QEvent, QUrl, Signal, Slot
from PySide6.QtGui import QImage, QResizeEvent, QTextDocument
from PySide6.QtWidgets import QTextBrowser, QWidget

from benchapp.assets import resource
from benchapp.ui.look.theme import Theme, font, text_scale
from benchapp.ui.look.tokens import DARK, Space, Type
from benchapp.ui.screens.help.drawings import help_drawing
from benchapp.ui.screens.help.dressing import dressed, style_sheet

_PAGE = re.compile(r"[a-z-]+\.html")
_DRAWING = re.compile(r"[a-z-]+\.svg")
_SAMPLE = "lines of about seventy letters are the easiest to read, to and fro"
_MOST_LETTERS = 72
MISSING = "<h1>Help</h1><p>This page of the help is missing. Install the program anew.</p>"


def help_file(name: str) -> Path:
    """Return where a file of the help lies."""
    return resource("help") / name


def page_text(page: str) -> str:
    """Return a page's text, words that say so where there is none."""
    name = f"{page}.html"
    try:
        return help_file(name).read_text(encoding="utf-8") if _PAGE.fullmatch(name) else MISSING
    except OSError:
        return MISSING


class HelpBrowser(QTextBrowser):
    """Follows links between the help's own pages only; its lines stay short enough to read."""

    shown = Signal(str)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self.page = ""
        self.whole_list = False
        self._filled_px = 0
        self.setOpenLinks(False)
        self.setOpenExternalLinks(False)
        self.setUndoRedoEnabled(False)
        self.document().setDocumentMargin(Space.WIDE)
        self.setFont(font(Type.LEAD))
        self.setAccessibleName("Help")
        self.anchorClicked.connect(self._follow)
        self._keep_measure()
        theme.changed.connect(self._show_again)

    def measure_px(self) -> int:
        """Return the width of the widest line."""
        return round(self.fontMetrics().horizontalAdvance(_SAMPLE) / len(_SAMPLE) * _MOST_LETTERS)

    def show_page(self, page: str) -> None:
        """Show one page by its name, without its ending."""
        self.page = page
        self._fill()
        self.verticalScrollBar().setValue(0)
        self.shown.emit(page)

    def show_list(self, *, whole: bool) -> None:
        """Say whether every page is to be linked at the foot: where no list of them stands beside the page."""
        if whole != self.whole_list:
            self.whole_list = whole
            self._show_again()

    def _fill(self) -> None:
        self._filled_px = self.width()
        self.document().clear()  # forgets its pictures too: they belong to another size or theme
        self.document().setDefaultStyleSheet(style_sheet(self._theme.tokens, text_scale()))
        self.setHtml(dressed(page_text(self.page), self.page, whole_list=self.whole_list))

    @Slot()
    def _show_again(self) -> None:
        if self.page:
            at = self.verticalScrollBar().value()
            self._fill()
            self.verticalScrollBar().setValue(at)

    @Slot(QUrl)
    def _follow(self, url: QUrl) -> None:
        name = url.toString()
        if _PAGE.fullmatch(name):
            self.show_page(name.removesuffix(".html"))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the drawings inside the lines."""
        super().resizeEvent(event)
        # the viewport alone also changes while a page is being filled, when the bar comes or goes
        if self.width() != self._filled_px:
            self._show_again()

    def changeEvent(self, event: QEvent) -> None:
        """Follow the size of the letters."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._keep_measure()
            self._show_again()

    def _keep_measure(self) -> None:
        self.setMaximumWidth(self.measure_px() + 2 * Space.WIDE + self._bar_px())

    def _bar_px(self) -> int:
        return self.verticalScrollBar().sizeHint().width() + 2 * self.frameWidth()

    def loadResource(self, kind: int, url: QUrl | str) -> Any:
        """Give out the help's own drawings; anything else stays empty."""
        name = url.toString() if isinstance(url, QUrl) else url
        if kind != QTextDocument.ResourceType.ImageResource.value or not _DRAWING.fullmatch(name):
            return QByteArray()
        return self._drawing(name)

    def _drawing(self, name: str) -> QImage:
        # reckoned with the bar, whether it is there yet or not: it comes with what is drawn
        room = max(1, self.width() - self._bar_px() - 2 * Space.WIDE)
        return help_drawing(
            help_file(name),
            dark=self._theme.tokens is DARK,
            scale=text_scale(),
            most_px=room,
            ratio=self.devicePixelRatioF(),
        )
