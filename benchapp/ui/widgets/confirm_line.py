"""One line a person confirms by itself: its signal word, its sentences, and a button."""

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.buttons import button
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.signal_word import SignalWord
from benchapp.ui.widgets.wrap_row import WrapRow

_ASK, _DONE = "Confirm", "✓ Confirmed"
ENTER_ONLY_CONFIRMS = "enterOnlyConfirms"
"""A property of a button that Enter may press down but never up again: Enter is pressed in passing."""


class ConfirmLine(QFrame):
    """One safety line with its button. It never says yes by itself; the page tells it whether it is confirmed."""

    answered = Signal(str, bool)

    def __init__(self, line: str, text: str, *, signal: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("card", True)
        self.line = line
        self.text = PlainLabel(text, Type.BODY, wrap=True)
        self.why = PlainLabel("", Type.CAPTION, soft=True, wrap=True)
        self.why.hide()
        self.button = button(_ASK, name=f"Confirm: {text}")
        self.button.setCheckable(True)
        self.button.setProperty(ENTER_ONLY_CONFIRMS, True)
        self.button.keep_room_for(_ASK, _DONE)
        self.button.clicked.connect(self._tell)
        words = QVBoxLayout()
        words.setSpacing(0)
        words.addStretch(1)
        words.addWidget(self.text)
        words.addWidget(self.why)
        words.addStretch(1)
        row = WrapRow(spacing=Space.LARGE)
        row.setContentsMargins(Space.LARGE, Space.SMALL, Space.MEDIUM, Space.SMALL)
        if signal:
            row.addWidget(SignalWord(signal))
        row.addLayout(words, 1)
        row.addWidget(self.button)
        self.setLayout(row)

    def show_answer(self, *, confirmed: bool, why: str = "") -> None:
        """Show whether the line is confirmed, and why it is asked again."""
        if confirmed != self.button.isChecked():
            self.button.setChecked(confirmed)
        self.button.setText(_DONE if confirmed else _ASK)
        self.why.show_text(why)
        self.why.setVisible(bool(why))

    @Slot(bool)
    def _tell(self, checked: bool) -> None:
        self.answered.emit(self.line, checked)
