"""The card with the sessions that were open lately, and what can be done with the one that is marked."""

from collections.abc import Sequence

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from benchapp.presentation.screens.shelf_words import COMES_HERE, IN_THE_TRASH, NONE_LISTED
from benchapp.ui.kept.recents import Recent
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.screens.start.recent_list import RecentList
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.wrap_row import WrapRow


class RecentCard(QFrame):
    """Opens a session or asks for its deletion; the buttons act on the one that is marked."""

    open_session = Signal(object)
    delete_session = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("card", True)
        self._trash = False
        self.list = RecentList()
        self.list.chosen.connect(self.open_session)
        self.list.delete_wanted.connect(self.delete_session)
        self.list.currentRowChanged.connect(self._name_buttons)
        self.open_button = button("Open it", Kind.QUIET)
        self.open_button.clicked.connect(self._open)
        self.delete_button = button("Delete", Kind.QUIET)
        self.delete_button.clicked.connect(self._delete)
        head = WrapRow()
        head.addWidget(PlainLabel("Recent sessions", Type.LEAD, bold=True, wrap=True), 1, whole=True)
        head.addWidget(self.open_button)
        head.addWidget(self.delete_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(Space.LARGE, Space.SMALL, Space.LARGE, Space.LARGE)
        column.setSpacing(Space.SMALL)
        self.nothing = PlainLabel(f"{NONE_LISTED} {COMES_HERE}", Type.BODY, wrap=True)
        self.taken_back = PlainLabel(IN_THE_TRASH, Type.BODY, soft=True, wrap=True)
        column.addLayout(head)
        column.addWidget(self.nothing)
        column.addWidget(self.taken_back)
        column.addWidget(self.list, 1)
        self._room = QWidget()  # below the words, in the place of the list
        column.addWidget(self._room, 1)

    def show_sessions(self, sessions: Sequence[tuple[Recent, str]]) -> None:
        """Show these sessions, each with why it cannot be read; of an emptied list, that it is empty."""
        self.list.show_sessions(sessions)
        for part in (self.list, self.open_button, self.delete_button):
            part.setVisible(bool(sessions))
        self.nothing.setVisible(not sessions)
        self._room.setVisible(not sessions)
        self.taken_back.setVisible(not sessions and self._trash)
        self._name_buttons()

    def show_trash(self, *, some: bool) -> None:
        """Say where deleted sessions are while the list is empty, if there are some."""
        self._trash = some
        self.taken_back.setVisible(some and not self.list.count())

    @Slot()
    def _name_buttons(self) -> None:
        name = self.list.current_name()
        self.open_button.setAccessibleName(f"Open {name}")
        self.delete_button.setAccessibleName(f"Delete {name}; this can be undone")

    @Slot()
    def _open(self) -> None:
        current = self.list.current()
        if current is not None:
            self.open_session.emit(current)

    @Slot()
    def _delete(self) -> None:
        current = self.list.current()
        if current is not None:
            self.delete_session.emit(current)
