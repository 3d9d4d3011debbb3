"""Lets a person choose a file or a folder, or drop one."""

from pathlib import Path

from PySide6.QtGui import QDropEvent
from PySide6.QtWidgets import QFileDialog, QWidget

from benchapp.presentation.screens.capture_words import CAPTURE_ENDINGS
from benchapp.ui.kept.session_names import ENDING


def file_to_open(parent: QWidget, folder: Path) -> Path | None:
    """Return the session or capture that was chosen, None when the dialog is left."""
    captures = " ".join(f"*{ending}" for ending in CAPTURE_ENDINGS)
    kinds = f"Sessions and captures (*{ENDING} {captures});;All files (*)"
    chosen, _ = QFileDialog.getOpenFileName(parent, "Open", str(folder), kinds)
    return Path(chosen) if chosen else None


def folder_for(parent: QWidget, question: str, folder: Path) -> Path | None:
    """Return the folder that was chosen, None when the dialog is left."""
    chosen = QFileDialog.getExistingDirectory(parent, question, str(folder))
    return Path(chosen) if chosen else None


def dropped_file(event: QDropEvent) -> Path | None:
    """Return the first of the dropped files that is a session or a capture."""
    endings = (ENDING, *CAPTURE_ENDINGS)
    paths = (Path(url.toLocalFile()) for url in event.mimeData().urls() if url.isLocalFile())
    return next((path for path in paths if path.suffix.lower() in endings), None)
