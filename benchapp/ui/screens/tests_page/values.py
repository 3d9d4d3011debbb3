"""The three things a run tells while it goes on: the last flip, the figure so far, what is left."""

from PySide6.QtWidgets import QVBoxLayout, QWidget

from benchapp.presentation.live.run_shown import RunView
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.page import card
from benchapp.ui.widgets.wrap_row import FILL, WrapRow


class Value(QWidget):
    """A word above, a value below, and below that what goes with it."""

    def __init__(self, words: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.words = PlainLabel(words, Type.BODY, soft=True, wrap=True)
        self.value = PlainLabel("–", Type.HEADING, bold=True, wrap=True)
        self.beneath = PlainLabel("", Type.BODY, wrap=True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(Space.HAIR)
        column.addWidget(self.words)
        column.addWidget(self.value)
        column.addWidget(self.beneath)
        column.addStretch(1)

    def show_value(self, text: str, beneath: str = "") -> None:
        """Show another value."""
        self.value.show_text(text or "–")
        self.beneath.show_text(beneath)
        self.setAccessibleName(f"{self.words.text()}: {self.value.text()} {beneath}".strip())


class RunValues(QWidget):
    """The three values side by side on one card."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.last = Value("Last flip")
        self.figure = Value("The figure so far")
        self.left = Value("Still to go")
        frame = card()
        row = WrapRow(spacing=Space.WIDE, line_spacing=Space.MEDIUM, even=True)
        row.setContentsMargins(Space.WIDE, Space.LARGE, Space.WIDE, Space.LARGE)
        for value in (self.last, self.figure, self.left):
            row.addWidget(value, 1, FILL)
        frame.setLayout(row)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(frame)

    def show_view(self, view: RunView) -> None:
        """Show a run as it stands."""
        for value, title in zip((self.last, self.figure, self.left), view.titles, strict=True):
            value.words.show_text(title)
        self.last.show_value(view.last)
        self.figure.show_value(view.figure, "\n".join(text for text in (view.give_or_take, view.beside) if text))
        self.left.show_value(view.left, view.minutes)
