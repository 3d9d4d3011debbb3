"""Files handed to whatever program the system opens them with."""

from pathlib import Path

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices


def show_file(path: Path) -> None:
    """Have the system open a finished file; where it knows no program for it, nothing happens."""
    QDesktopServices.openUrl(QUrl.fromLocalFile(str(path)))
