"""What a page shows while there is nothing on it yet: why, and what to do."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.labels import PlainLabel


class EmptyNote(QWidget):
    """A title, a sentence and one button, in the middle of the page."""

    acted = Signal()

    def __init__(self, title: str, sentence: str, action: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.title = PlainLabel(title, Type.HEADING, bold=True, wrap=True)
        self.sentence = PlainLabel(sentence, Type.LEAD, soft=True, wrap=True)
        self.action = button(action, Kind.MAIN)
        self.action.clicked.connect(self.acted)
        for label in (self.title, self.sentence):
            label.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        row = QHBoxLayout()
        row.addStretch(1)
        row.addWidget(self.action)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setSpacing(Space.MEDIUM)
        column.addStretch(2)
        column.addWidget(self.title)
        column.addWidget(self.sentence)
        column.addLayout(row)
        column.addStretch(3)
