"""Saves a picture where the user says: a figure as SVG or PNG, a live plot as PNG."""

import re
from pathlib import Path

from PySide6.QtCore import QByteArray, QSaveFile
from PySide6.QtGui import QImage, QImageWriter
from PySide6.QtWidgets import QFileDialog, QWidget

_SVG, _PNG = "Drawing (*.svg)", "Picture (*.png)"
_UNFIT = re.compile(r"[^\w.-]+")


def wanted_file(parent: QWidget, name: str, *, drawing: bool) -> Path | None:
    """Return the file the user chooses for a picture, with its ending; None when the dialog is left."""
    filters = f"{_SVG};;{_PNG}" if drawing else _PNG
    start = _UNFIT.sub("-", name).strip("-") or "figure"
    chosen, kind = QFileDialog.getSaveFileName(parent, "Save the picture", start, filters)
    if not chosen:
        return None
    path = Path(chosen)
    endings = (".svg", ".png") if drawing else (".png",)
    return path if path.suffix.lower() in endings else Path(f"{chosen}{'.svg' if kind == _SVG else '.png'}")


def save_picture(path: Path, *, image: QImage, svg: str = "") -> bool:
    """Write a drawing or a picture, by the file's ending; it appears whole or not at all. Return whether it did."""
    file = QSaveFile(str(path))
    if not file.open(QSaveFile.OpenModeFlag.WriteOnly):
        return False
    if svg and path.suffix.lower() == ".svg":
        written = file.write(QByteArray(svg.encode())) > 0
    else:
        written = QImageWriter(file, QByteArray(b"png")).write(image)
    if not written:
        file.cancelWriting()
    return file.commit() and written


def saved_words(path: Path, done: bool) -> str:
    """Return what to say of a picture that was, or was not, written."""
    if done:
        return f"The picture is in {path}"
    return f"The picture could not be written to {path}. Choose another folder, or make room."
