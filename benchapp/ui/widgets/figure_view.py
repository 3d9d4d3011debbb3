"""A figure with its caption, and a button that saves it as a drawing or a picture."""

from pathlib import Path

from PySide6.QtCore import Qt, Slot
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from benchapp.presentation.ground.page import Figure
from benchapp.ui.look.theme import Theme
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.picture_saving import save_picture, saved_words, wanted_file
from benchapp.ui.widgets.svg_picture import SvgPicture


class FigureView(QWidget):
    """Shows one figure, and says where it was saved."""

    def __init__(self, theme: Theme, figure: Figure, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.picture = SvgPicture(theme, figure)
        self.caption = PlainLabel(figure.caption, Type.BODY, soft=True, wrap=True)
        self.save = button("Save picture…", Kind.QUIET, name=f"Save this picture: {figure.alt}")
        self.save.clicked.connect(self._save)
        self.outcome = PlainLabel("", Type.CAPTION, soft=True, wrap=True)
        self.outcome.hide()
        below = QHBoxLayout()
        below.setSpacing(Space.LARGE)
        below.addWidget(self.caption, 1, Qt.AlignmentFlag.AlignTop)
        below.addWidget(self.save, 0, Qt.AlignmentFlag.AlignTop)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(Space.SMALL)
        column.addWidget(self.picture)
        column.addLayout(below)
        column.addWidget(self.outcome)

    def show_figure(self, figure: Figure) -> None:
        """Show another figure in this one's place."""
        self.picture.show_figure(figure)
        self.caption.show_text(figure.caption)
        self.save.setAccessibleName(f"Save this picture: {figure.alt}")
        self.outcome.hide()

    @Slot()
    def _save(self) -> None:
        path = wanted_file(self, self.picture.figure.key, drawing=True)
        if path is not None:
            self.write(path)

    def write(self, path: Path) -> None:
        """Write the figure as its file's ending says, and say what became of it."""
        figure = self.picture.figure
        self.outcome.show_text(saved_words(path, save_picture(path, image=self.picture.image(), svg=figure.svg)))
        self.outcome.show()
