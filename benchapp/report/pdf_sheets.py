"""The sheets of a PDF: Qt's part, drawn into memory."""

from pathlib import Path

from PySide6.QtCore import QBuffer, QCoreApplication, QIODevice, QLibraryInfo, QMarginsF, QPluginLoader
from PySide6.QtGui import QFontDatabase, QGuiApplication, QPageLayout, QPageSize, QPainter, QPdfWriter

from benchapp.presentation.ground.colours import INK, SOFT_INK
from benchapp.presentation.ground.page import PRACTICE_MARK, Page
from benchapp.records.errors import SystemTrouble
from benchapp.report.pdf_bands import bands_of
from benchapp.report.pdf_columns import laid_in_bands
from benchapp.report.pdf_type import Style, Typesetter

_DPI = 1200
_SHEET_WIDTH, _SHEET_HEIGHT = 595.0, 842.0
_LEFT, _TOP, _BOTTOM = 38.0, 38.0, 48.0
_WIDTH = _SHEET_WIDTH - 2 * _LEFT
_COLUMN = 0.5 * (_WIDTH - 17.0)
_FOOT = Style(size=7.2, colour=SOFT_INK)
_MARK = Style(size=7.6, bold=True, colour=INK)


def running_application() -> QGuiApplication | None:
    """Return the application that runs, or one of our own without a screen; it must be kept alive.

    None where a Qt application without pictures runs already. Raises SystemTrouble where Qt cannot start.
    """
    running = QCoreApplication.instance()
    if running is not None:
        return running if isinstance(running, QGuiApplication) else None
    # A plugin that cannot be loaded would end the whole process, so it is tried first.
    folder = Path(QLibraryInfo.path(QLibraryInfo.LibraryPath.PluginsPath)) / "platforms"
    for plugin in sorted(folder.glob("*qoffscreen*")):
        loader = QPluginLoader(str(plugin))
        if not loader.load():
            raise SystemTrouble(
                f"the PDF needs a system library that is missing ({loader.errorString()}); install it: sudo apt-get "
                "install libfontconfig1 libglib2.0-0 libdbus-1-3 libxkbcommon0; or leave the PDF out with --no-pdf"
            )
    return QGuiApplication(["benchapp", "-platform", "offscreen"])


def font_families() -> list[str]:
    """Return the names of the fonts there are."""
    return list(QFontDatabase.families())


def drawn(page: Page) -> bytes:
    """Return the page drawn on as many A4 sheets as it takes, as the bytes of a PDF."""
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setResolution(_DPI)
    writer.setPageLayout(
        QPageLayout(QPageSize(QPageSize.PageSizeId.A4), QPageLayout.Orientation.Portrait, QMarginsF(0, 0, 0, 0))
    )
    writer.setTitle(page.title)
    writer.setCreator("Thumb to Horn")
    setter = Typesetter(writer)
    sheets = laid_in_bands(
        bands_of(page, setter, _WIDTH, _COLUMN), _SHEET_HEIGHT - _TOP - _BOTTOM, column_left=_WIDTH - _COLUMN
    )
    painter = QPainter(writer)
    try:
        for number, sheet in enumerate(sheets, start=1):
            if number > 1:
                writer.newPage()
            _edge_words(painter, setter, page, number, len(sheets))
            painter.save()
            painter.translate(_LEFT * setter.scale, _TOP * setter.scale)
            for placed in sheet:
                painter.save()
                painter.translate(placed.left * setter.scale, 0.0)
                placed.piece.draw(painter, placed.top)
                painter.restore()
            painter.restore()
    finally:
        painter.end()
    buffer.close()
    return bytes(buffer.data().data())


def _edge_words(painter: QPainter, setter: Typesetter, page: Page, number: int, of: int) -> None:
    """Write what stands on every sheet: practice at the top, session, evidence code and sheet number at the foot."""
    if page.practice:
        setter.lay(PRACTICE_MARK, _WIDTH, _MARK).draw(painter, _LEFT, 22.0)
    foot = _SHEET_HEIGHT - 36.0
    name = setter.shortened(page.session or page.title, _WIDTH - 90.0, _FOOT)
    setter.lay(name, _WIDTH - 80.0, _FOOT).draw(painter, _LEFT, foot)
    right = Style(size=_FOOT.size, colour=_FOOT.colour, right=True)
    setter.lay(f"page {number} of {of}", 80.0, right).draw(painter, _LEFT + _WIDTH - 80.0, foot)
    code = f"evidence code {page.evidence_code or 'none yet'}"
    setter.lay(code, _WIDTH - 120.0, _FOOT).draw(painter, _LEFT, foot + 10.5)
    if page.practice:
        mark = Style(size=_FOOT.size, bold=True, right=True)
        setter.lay(PRACTICE_MARK, 130.0, mark).draw(painter, _LEFT + _WIDTH - 130.0, foot + 10.5)
