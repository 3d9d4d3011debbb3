"""One line a person confirms by itself: its signal word, the act it asks for, what there is to know, and a button."""

from PySide6.QtCore import Signal, Slot
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.buttons import BenchButton, Kind
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.signal_word import SignalWord
from benchapp.ui.widgets.wrap_row import WrapRow

_ASK, _DONE = "Confirm", "✓ Confirmed"
ENTER_ONLY_CONFIRMS = "enterOnlyConfirms"
"""A property of a button that Enter may press down but never up again: Enter is pressed in passing."""


class _ConfirmButton(BenchButton):
    """Knows whether the pointer presses it: then nothing may scroll under the pointer."""

    def __init__(self, words: str) -> None:
        super().__init__(_ASK, Kind.PLAIN)
        self.by_pointer = False
        self.setAccessibleName(f"Confirm: {words}")
        self.setCheckable(True)
        self.setProperty(ENTER_ONLY_CONFIRMS, True)
        self.keep_room_for(_ASK, _DONE)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Press by the pointer."""
        self.by_pointer = True
        super().mouseReleaseEvent(event)
        self.by_pointer = False


class ConfirmLine(QFrame):
    """One safety line with its button. It never says yes by itself; the page tells it whether it is confirmed.

    Confirmed or not, it is as large as before: no line moves under the pointer. grave: it can maim, so it is large.
    """

    answered = Signal(str, bool)

    def __init__(
        self,
        line: str,
        text: str,
        *,
        signal: str = "",
        note: str = "",
        grave: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setProperty("card", True)
        self.line = line
        self.text = PlainLabel(text, Type.HEADING if grave else Type.BODY, bold=bool(note), wrap=True)
        self.button = _ConfirmButton(text)
        self.button.setAccessibleDescription(note)
        self.button.clicked.connect(self._tell)
        words = QVBoxLayout()
        words.setSpacing(0)
        words.addStretch(1)
        words.addWidget(self.text)
        self.note: PlainLabel | None = None
        if note:
            self.note = PlainLabel(note, Type.BODY if grave else Type.CAPTION, soft=True, wrap=True)
            words.addWidget(self.note)
        words.addStretch(1)
        row = WrapRow(spacing=Space.LARGE)
        row.setContentsMargins(Space.LARGE, Space.SMALL, Space.MEDIUM, Space.SMALL)
        if signal:
            row.addWidget(SignalWord(signal))
        row.addLayout(words, 1)
        row.addWidget(self.button)
        self.setLayout(row)

    def show_answer(self, *, confirmed: bool) -> None:
        """Show whether the line is confirmed."""
        if confirmed != self.button.isChecked():
            self.button.setChecked(confirmed)
        self.button.setText(_DONE if confirmed else _ASK)

    @Slot(bool)
    def _tell(self, checked: bool) -> None:
        self.answered.emit(self.line, checked)
