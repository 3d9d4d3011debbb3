"""The card with the sessions that were deleted and can still be taken back."""

from collections.abc import Sequence
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from benchapp.presentation.screens.shelf_words import trashed_line
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.screens.start.recent_list import RecentList
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.wrap_row import WrapRow

if TYPE_CHECKING:
    from benchapp.desk.trash import Discarded


class TrashCard(QFrame):
    """Asks for the session that is marked to be taken back; it stays until Back is pressed or nothing is left."""

    restore = Signal(object)
    leave = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("card", True)
        self._found: dict[Path, Discarded] = {}
        self.list = RecentList()
        self.list.setAccessibleName("Deleted sessions")
        self.list.chosen.connect(self._restore)
        self.list.currentRowChanged.connect(self._name_button)
        self.restore_button = button("Restore", Kind.QUIET)
        self.restore_button.clicked.connect(self._restore)
        self.back_button = button("Back", Kind.QUIET, name="Back to the recent sessions")
        self.back_button.clicked.connect(self.leave)
        head = WrapRow()
        head.addWidget(PlainLabel("Deleted sessions", Type.LEAD, bold=True, wrap=True), 1, whole=True)
        head.addWidget(self.restore_button)
        head.addWidget(self.back_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(Space.LARGE, Space.SMALL, Space.LARGE, Space.LARGE)
        column.setSpacing(Space.SMALL)
        column.addLayout(head)
        column.addWidget(self.list, 1)

    @property
    def empty(self) -> bool:
        """Whether there is nothing to take back."""
        return not self._found

    def show_discarded(self, found: "Sequence[Discarded]") -> None:
        """Show what lies in the trash, the one deleted last first."""
        if list(self._found.values()) == list(found):
            return
        row = self.list.currentRow()
        self._found = {each.folder: each for each in found}
        self.list.clear()
        for each in found:
            self.list.add_line(each.folder, each.name, _line(each))
        self.list.setCurrentRow(min(max(row, 0), len(found) - 1))
        self._name_button()

    @Slot()
    def _name_button(self) -> None:
        self.restore_button.setAccessibleName(f"Restore {self.list.current_name()}")

    @Slot()
    def _restore(self) -> None:
        folder = self.list.current()
        if folder in self._found:
            self.restore.emit(self._found[folder])


def _line(found: "Discarded") -> str:
    if found.since is None:
        return ""
    deleted = found.since.astimezone()
    return trashed_line(deleted.isoformat(), (deleted + timedelta(days=found.kept_days)).isoformat())
