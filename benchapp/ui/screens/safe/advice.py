"""What else holds on the bench that was named: read, not confirmed, so there is no button."""

from collections.abc import Sequence

from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from benchapp.presentation.ground.safety import SafetyWords
from benchapp.presentation.screens.safety_view import ADVICE_TITLE
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.signal_word import SignalWord
from benchapp.ui.widgets.wrap_row import WrapRow


class Advice(QFrame):
    """One card of advice, each line under its signal word."""

    def __init__(self, lines: Sequence[SafetyWords], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("card", True)
        column = QVBoxLayout(self)
        column.setContentsMargins(Space.LARGE, Space.MEDIUM, Space.LARGE, Space.MEDIUM)
        column.setSpacing(Space.SMALL)
        column.addWidget(PlainLabel(ADVICE_TITLE, Type.LEAD, bold=True, wrap=True))
        self.texts: list[PlainLabel] = []
        for words in lines:
            text = PlainLabel(words.text, Type.BODY, wrap=True)
            self.texts.append(text)
            row = WrapRow(spacing=Space.LARGE)
            if words.signal is not None:
                row.addWidget(SignalWord(words.signal.value))
            row.addWidget(text, 1)
            column.addLayout(row)
