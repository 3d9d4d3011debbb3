"""What to do about a port that may not be opened: lines to copy, and a look whether they have worked."""

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from benchapp.presentation.screens.permission_words import GROUP, NEITHER, RULE, WATCHING, permission_title
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.buttons import BenchButton, Kind, button
from benchapp.ui.widgets.clipboard import copy_text
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.wrap_row import WrapRow

if TYPE_CHECKING:
    from benchapp.desk.port_permission import PermissionHelp


class PermissionCard(QFrame):
    """Shows commands that let this user open a port, to be copied; the program never runs them itself."""

    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("card", True)
        self.title = PlainLabel("", Type.HEADING, bold=True, wrap=True)
        self.rule, self.copy_rule = _lines("Copy the rule's lines")
        self.group, self.copy_group = _lines("Copy the group's line")
        self.copy_rule.clicked.connect(self._copy_rule)
        self.copy_group.clicked.connect(self._copy_group)
        self.rule_words = PlainLabel(RULE, Type.BODY, wrap=True)
        self.group_words = PlainLabel(GROUP, Type.BODY, wrap=True)
        self.neither = PlainLabel(NEITHER, Type.BODY, wrap=True)
        self.watching = PlainLabel(WATCHING, Type.BODY, soft=True, wrap=True)
        self.leave_button = button("Never mind", Kind.QUIET, name="Leave the port alone")
        self.leave_button.clicked.connect(self.left)
        column = QVBoxLayout(self)
        column.setContentsMargins(Space.LARGE, Space.LARGE, Space.LARGE, Space.LARGE)
        column.setSpacing(Space.SMALL)
        column.addWidget(self.title)
        for words, lines, copy in (
            (self.rule_words, self.rule, self.copy_rule),
            (self.group_words, self.group, self.copy_group),
        ):
            column.addLayout(_row(words, copy))
            column.addWidget(lines)
        column.addWidget(self.neither)
        column.addLayout(_row(self.watching, self.leave_button))

    def show_help(self, offered: "PermissionHelp") -> None:
        """Show what can be done about one port."""
        self.title.show_text(permission_title(offered.port))
        for words, lines, copy, text in (
            (self.rule_words, self.rule, self.copy_rule, offered.rule_commands),
            (self.group_words, self.group, self.copy_group, offered.group_command),
        ):
            lines.show_text(text.strip())
            for part in (words, lines, copy):
                part.setVisible(bool(text))
        self.neither.setVisible(not (offered.rule_commands or offered.group_command))

    @Slot()
    def _copy_rule(self) -> None:
        copy_text(self.rule.text() + "\n")

    @Slot()
    def _copy_group(self) -> None:
        copy_text(self.group.text() + "\n")


def _lines(name: str) -> tuple[PlainLabel, BenchButton]:
    """Return a place for lines of a terminal, to be read and marked, and the button that copies them."""
    lines = PlainLabel("", Type.CAPTION, wrap=True)
    lines.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return lines, button("Copy", name=name)


def _row(words: PlainLabel, pressed: BenchButton) -> WrapRow:
    row = WrapRow()
    row.addWidget(words, 1)
    row.addWidget(pressed)
    return row
