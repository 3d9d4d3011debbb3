"""A table with its caption, buttons that copy it, and its notes."""

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from benchapp.presentation.ground.page import Table
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.table import PageTable


class TableView(QWidget):
    """Shows one table of a page."""

    def __init__(self, table: Table, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.key = table.key
        self.rows = PageTable(table)
        self.copy = button("Copy table", Kind.QUIET, name=f"Copy the table: {table.caption}")
        self.copy.clicked.connect(self.rows.copy_all)
        self.for_spreadsheet = button(
            "Copy for my spreadsheet", Kind.QUIET, name=f"Copy the table for my spreadsheet: {table.caption}"
        )
        self.for_spreadsheet.clicked.connect(self.rows.copy_for_spreadsheet)
        head = QHBoxLayout()
        head.setSpacing(Space.LARGE)
        head.addWidget(PlainLabel(table.caption, Type.LEAD, bold=True, wrap=True), 1)
        head.addWidget(self.copy)
        head.addWidget(self.for_spreadsheet)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(Space.SMALL)
        column.addLayout(head)
        column.addWidget(self.rows)
        for note in table.notes:
            column.addWidget(PlainLabel(note, Type.CAPTION, soft=True, wrap=True))
