"""A page as a PDF: text that can be searched, vector figures, a footer on every sheet."""

import os
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from benchapp.presentation.ground.page import Page
from benchapp.records.errors import DiskTrouble, SystemTrouble
from benchapp.sessions.naming import reason

if TYPE_CHECKING:
    from PySide6.QtGui import QGuiApplication

APT_LINE = "sudo apt-get install libgl1 libegl1 libxkbcommon0 libfontconfig1 libglib2.0-0 libdbus-1-3"
FONT_LINE = "sudo apt-get install fonts-dejavu-core"

# Qt wants one application object to live as long as the process; it is made only where none runs.
_own_application: list["QGuiApplication"] = []


def write_pdf(page: Page, path: Path) -> None:
    """Write the page as a PDF; the file appears whole or not at all.

    Raises SystemTrouble where a system library or every font is missing, DiskTrouble where the disk refuses.
    """
    content = pdf_bytes(page)
    try:
        _write_whole(content, path)
    except OSError as error:
        raise DiskTrouble(
            f"The report could not be written to {path}: {reason(error)}. Make room or choose another folder."
        ) from error


def pdf_bytes(page: Page) -> bytes:
    """Return the page as the bytes of a PDF.

    Raises SystemTrouble where a system library or every font is missing.
    """
    try:
        from benchapp.report import pdf_sheets  # noqa: PLC0415 - Qt is loaded only when a PDF is asked for
    except ImportError as error:
        raise SystemTrouble(
            f"the PDF needs a system library that is missing ({error}); install it: {APT_LINE}; "
            "or leave the PDF out with --no-pdf"
        ) from error
    application = pdf_sheets.running_application()
    if application is not None and application not in _own_application:
        _own_application.append(application)
    if not pdf_sheets.font_families():
        raise SystemTrouble(
            f"the PDF needs a font and this system has none; install one: {FONT_LINE}; "
            "or leave the PDF out with --no-pdf"
        )
    return pdf_sheets.drawn(page)


def _write_whole(content: bytes, path: Path) -> None:
    handle, name = tempfile.mkstemp(prefix=".", suffix=".part", dir=path.parent)
    part = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        part.chmod(0o644)
        part.replace(path)
    except OSError:
        part.unlink(missing_ok=True)
        raise
