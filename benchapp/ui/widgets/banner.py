"""The bar above the page for a message: what happened, what was kept, what to do. Never a pop-up."""

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from benchapp.presentation.ground.messages import Message
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.clipboard import copy_text
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.wrap_row import WrapRow

_MOST_ACTS = 2


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Act:
    """Something a message offers to do; the bar is put away with it."""

    words: str
    do: Callable[[], None]


class Banner(QFrame):
    """Shows one message above the page until it is put away; the newest replaces the one before."""

    put_away = Signal()

    def __init__(self, bug_details: Callable[[str], str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bug_details = bug_details
        self.setObjectName("banner")
        self.message: Message | None = None
        self._offered: tuple[Act, ...] = ()
        self.title = PlainLabel("", Type.LEAD, bold=True, wrap=True)
        self.body = PlainLabel("", Type.BODY, wrap=True)
        self.details = PlainLabel("", Type.CAPTION, soft=True, wrap=True)
        self.acts = [button("") for _ in range(_MOST_ACTS)]
        self.copy = button("Copy details", Kind.QUIET, name="Copy details for a bug report")
        self.close_button = button("Put away", Kind.QUIET, name="Put this message away")
        words = QVBoxLayout()
        words.setSpacing(Space.HAIR)
        for part in (self.title, self.body, self.details):
            words.addWidget(part)
        row = WrapRow(spacing=Space.MEDIUM)
        row.setContentsMargins(Space.WIDE, Space.MEDIUM, Space.LARGE, Space.MEDIUM)
        row.addLayout(words, 1)
        for made in (*self.acts, self.copy, self.close_button):
            row.addWidget(made)
        self.setLayout(row)
        for made in self.acts:
            made.clicked.connect(self._act)
        self.copy.clicked.connect(self._copy)
        self.close_button.clicked.connect(self._put_away)
        self.hide()

    @property
    def offering(self) -> bool:
        """Whether the message that is shown offers something to do."""
        return self.message is not None and bool(self._offered)

    def show_message(self, message: Message, acts: tuple[Act, ...] = ()) -> None:
        """Show what happened, what was kept and what to do; acts are offered in place of the details for a report."""
        self.message = message
        self._offered = acts[:_MOST_ACTS]
        self.title.show_text(message.title)
        self.body.show_text(f"{message.kept} {message.do}".strip())
        self.details.show_text(message.details)
        self.details.setVisible(bool(message.details))
        for place, made in enumerate(self.acts):
            words = self._offered[place].words if place < len(self._offered) else ""
            made.setText(words)
            made.setAccessibleName(f"{words}: {message.title}" if words else "")
            made.setVisible(bool(words))
        self.copy.setVisible(not acts)
        self.setAccessibleName(f"{message.title}. {message.kept} {message.do}".strip())
        self.show()

    @Slot()
    def clear(self) -> None:
        """Show nothing any more."""
        self.message = None
        self._offered = ()
        self.hide()

    @Slot()
    def over(self) -> None:
        """Put away the message of a trouble that is over; one that offers something stays."""
        if not self.offering:
            self.clear()

    @Slot()
    def _act(self) -> None:
        act = self._offered[self.acts.index(self.sender())]  # type: ignore[arg-type]  # only these are connected
        self.clear()
        act.do()

    @Slot()
    def _put_away(self) -> None:
        self.clear()
        self.put_away.emit()

    @Slot()
    def _copy(self) -> None:
        if self.message is not None:
            message = self.message
            said = "\n".join((message.title, message.kept, message.do, message.details))
            copy_text(self._bug_details(said))
