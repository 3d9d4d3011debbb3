"""A bar for what lasts: what happened, what was kept, what to do. Never a pop-up."""

from collections.abc import Callable

from PySide6.QtCore import Signal, Slot
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFrame, QHBoxLayout, QVBoxLayout, QWidget

from benchapp.presentation.messages import Message
from benchapp.ui.tokens import Space, Type
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.labels import PlainLabel


class Banner(QFrame):
    """Shows one message above the page until it is put away; the newest replaces the one before."""

    put_away = Signal()

    def __init__(self, bug_details: Callable[[str], str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bug_details = bug_details
        self.setObjectName("banner")
        self.message: Message | None = None
        self.title = PlainLabel("", Type.LEAD, bold=True, wrap=True)
        self.body = PlainLabel("", Type.BODY, wrap=True)
        self.details = PlainLabel("", Type.CAPTION, soft=True, wrap=True)
        self.copy = button("Copy details", Kind.QUIET, name="Copy details for a bug report")
        self.close_button = button("Put away", Kind.QUIET, name="Put this message away")
        words = QVBoxLayout()
        words.setSpacing(Space.HAIR)
        for part in (self.title, self.body, self.details):
            words.addWidget(part)
        row = QHBoxLayout(self)
        row.setContentsMargins(Space.WIDE, Space.MEDIUM, Space.LARGE, Space.MEDIUM)
        row.setSpacing(Space.MEDIUM)
        row.addLayout(words, 1)
        row.addWidget(self.copy)
        row.addWidget(self.close_button)
        self.copy.clicked.connect(self._copy)
        self.close_button.clicked.connect(self._put_away)
        self.hide()

    def show_message(self, message: Message) -> None:
        """Show what happened, what was kept and what to do."""
        self.message = message
        self.title.show_text(message.title)
        self.body.show_text(f"{message.kept} {message.do}".strip())
        self.details.show_text(message.details)
        self.details.setVisible(bool(message.details))
        self.setAccessibleName(f"{message.title}. {message.kept} {message.do}")
        self.show()

    @Slot()
    def _put_away(self) -> None:
        self.message = None
        self.hide()
        self.put_away.emit()

    @Slot()
    def _copy(self) -> None:
        if self.message is not None:
            message = self.message
            said = "\n".join((message.title, message.kept, message.do, message.details))
            QGuiApplication.clipboard().setText(self._bug_details(said))
