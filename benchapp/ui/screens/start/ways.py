"""A card that offers one way to begin: a heading, a sentence, its controls, its buttons at the foot."""

from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.labels import PlainLabel


class WayCard(QFrame):
    """A card of the first page with one way to begin; its layout, `column`, is filled from top to bottom."""

    def __init__(self, title: str, sentence: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("card", True)
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(Space.LARGE, Space.LARGE, Space.LARGE, Space.LARGE)
        self.column.setSpacing(Space.MEDIUM)
        self.column.addWidget(PlainLabel(title, Type.HEADING, bold=True, wrap=True))
        self.column.addWidget(PlainLabel(sentence, Type.BODY, soft=True, wrap=True))
