"""What is copied, as text or as a table; closed before the application where no screen keeps it."""

from PySide6.QtCore import QMimeData
from PySide6.QtGui import QGuiApplication

_KEPT_IN_THE_PROGRAM = frozenset({"offscreen", "minimal"})
"""Platforms whose clipboard is a part of the program, taken down after Python: what lies there then ends in a crash."""


def copy_text(text: str) -> None:
    """Put plain text on the clipboard."""
    QGuiApplication.clipboard().setText(text)


def copy_table(text: str, html: str) -> None:
    """Put a table on the clipboard, as text with tabs and as HTML."""
    data = QMimeData()
    data.setText(text)
    data.setHtml(html)
    QGuiApplication.clipboard().setMimeData(data)


def close_clipboard() -> None:
    """Empty the clipboard where it goes with the program; elsewhere it is the system's, and keeps what was copied."""
    if QGuiApplication.instance() is not None and QGuiApplication.platformName() in _KEPT_IN_THE_PROGRAM:
        QGuiApplication.clipboard().clear()
