"""Asks before a port is opened on which no probe was ever seen: that can reset a board that drives something."""

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from benchapp.presentation.screens.probe_words import ask_before_opening
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.wrap_row import WrapRow


class AskCard(QFrame):
    """Asks whether a port on which no probe was seen may be opened, and tells a yes; nothing is opened before."""

    agreed = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("card", True)
        self._port = ""
        self.question = PlainLabel("", Type.LEAD, wrap=True)
        self.open_button = button("Open it", name="Open the port")
        self.open_button.clicked.connect(self._agree)
        self.leave_button = button("Never mind", Kind.QUIET, name="Leave the port closed")
        self.leave_button.clicked.connect(self.hide)
        column = QVBoxLayout(self)
        column.setContentsMargins(Space.LARGE, Space.LARGE, Space.LARGE, Space.LARGE)
        column.setSpacing(Space.MEDIUM)
        column.addWidget(self.question)
        row = WrapRow()
        row.addWidget(self.leave_button)
        row.addStretch(1)
        row.addWidget(self.open_button)
        column.addLayout(row)

    def ask(self, port: str) -> None:
        """Ask about a port; Enter leaves it closed."""
        self._port = port
        self.question.show_text(ask_before_opening(port))
        self.show()
        self.leave_button.setFocus()

    @Slot()
    def _agree(self) -> None:
        self.hide()
        self.agreed.emit(self._port)
