"""The one question above the safety lines: what is on the bench?"""

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from benchapp.presentation.ground.on_bench import ANSWERS, QUESTION
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.buttons import BenchButton, button
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.wrap_row import WrapRow


class BenchQuestion(QFrame):
    """A button for each answer; which of them is down is what the recording says, never what was pressed alone."""

    answered = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("card", True)
        self.buttons: dict[str, BenchButton] = {}
        row = WrapRow()
        for answer, words in ANSWERS.items():
            made = button(words, name=f"{QUESTION} {words}")
            made.setCheckable(True)
            made.clicked.connect(self._pressed)
            self.buttons[answer] = made
            row.addWidget(made)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(Space.LARGE, Space.MEDIUM, Space.LARGE, Space.MEDIUM)
        column.addWidget(PlainLabel(QUESTION, Type.HEADING, bold=True, wrap=True))
        column.addLayout(row)
        self._shown = ""

    def show_answer(self, on_bench: str) -> None:
        """Show what is said to be on the bench, "" where nobody said."""
        self._shown = on_bench
        for answer, made in self.buttons.items():
            made.setChecked(answer == on_bench)

    @Slot()
    def _pressed(self) -> None:
        answer = next(answer for answer, made in self.buttons.items() if made is self.sender())
        again = answer == self._shown
        self.show_answer(answer)
        if not again:
            self.answered.emit(answer)
