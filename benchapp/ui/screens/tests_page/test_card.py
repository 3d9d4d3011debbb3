"""The card of a test: its name to press, what it answers, what it needs, and what is missing for it."""

from PySide6.QtCore import Signal
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QFrame, QSizePolicy, QVBoxLayout, QWidget

from benchapp.presentation.shown import CARDS
from benchapp.ui.look.theme import use_lengths
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.buttons import button
from benchapp.ui.widgets.labels import PlainLabel

_LEAST_PX = 240


class TestCard(QFrame):
    """Chooses its test when it is pressed anywhere; the keyboard presses its button."""

    __test__ = False

    pressed = Signal(str)

    def __init__(self, test: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.test = test
        self.setProperty("card", True)
        use_lengths(self, minimumWidth=_LEAST_PX)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        words = CARDS.of(test)
        self.choose = button(words.title)
        self.missing = PlainLabel("", Type.CAPTION, bold=True, wrap=True)
        self.missing.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(Space.LARGE, Space.LARGE, Space.LARGE, Space.MEDIUM)
        column.setSpacing(Space.SMALL)
        column.addWidget(self.choose)
        column.addWidget(PlainLabel(words.answers, wrap=True))
        column.addWidget(PlainLabel(words.needs, Type.CAPTION, soft=True, wrap=True))
        column.addWidget(self.missing)
        column.addStretch(1)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Choose this card's test."""
        event.accept()
        self.pressed.emit(self.test)

    def show_missing(self, text: str) -> None:
        """Say which lead is missing, nothing where none is."""
        self.missing.show_text(text)
        self.missing.setVisible(bool(text))
