"""A table of a page: read, not written; Ctrl+C copies what is chosen, with its headings."""

from collections.abc import Iterable, Sequence
from html import escape

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableWidget, QTableWidgetItem, QWidget

from benchapp.presentation.ground.numbers import for_spreadsheet
from benchapp.presentation.ground.page import Table
from benchapp.ui.look.theme import font
from benchapp.ui.look.tokens import Type
from benchapp.ui.widgets.clipboard import copy_table

_MOST_ROWS_AT_ONCE = 14
_ROW_PX = 30
_MOST_WIDE_COLUMNS = 6


class PageTable(QTableWidget):
    """A table as tall as its rows; a long one scrolls inside. row_chosen tells the first cell of the row gone to."""

    row_chosen = Signal(str)

    def __init__(self, table: Table, parent: QWidget | None = None) -> None:
        super().__init__(len(table.rows), len(table.columns), parent)
        self._titles = [f"{column.title} ({column.unit})" if column.unit else column.title for column in table.columns]
        self._numeric = {place for place, column in enumerate(table.columns) if column.numeric}
        self._wide = len(table.columns) > _MOST_WIDE_COLUMNS
        self.setAccessibleName(table.caption)
        self.setFont(font(Type.CAPTION if self._wide else Type.BODY))
        self.horizontalHeader().setFont(font(Type.CAPTION))
        self.verticalHeader().hide()
        self.verticalHeader().setDefaultSectionSize(_ROW_PX)
        self.setShowGrid(False)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setTabKeyNavigation(False)
        self._fill(table)
        self._size(table)
        self.currentCellChanged.connect(self._tell_row)
        copy = QShortcut(QKeySequence(QKeySequence.StandardKey.Copy), self)
        copy.setContext(Qt.ShortcutContext.WidgetShortcut)
        copy.activated.connect(self.copy_chosen)

    def _fill(self, table: Table) -> None:
        for row, cells in enumerate(table.rows):
            for column, cell in enumerate(cells):
                item = QTableWidgetItem(cell.text)
                numeric = table.columns[column].numeric
                side = Qt.AlignmentFlag.AlignRight if numeric else Qt.AlignmentFlag.AlignLeft
                item.setTextAlignment(side | Qt.AlignmentFlag.AlignVCenter)
                self.setItem(row, column, item)
        for column, facts in enumerate(table.columns):
            side = Qt.AlignmentFlag.AlignRight if facts.numeric else Qt.AlignmentFlag.AlignLeft
            title = QTableWidgetItem(self._titles[column].replace(" (", "\n(") if self._wide else self._titles[column])
            title.setTextAlignment(side | Qt.AlignmentFlag.AlignVCenter)
            self.setHorizontalHeaderItem(column, title)

    def _size(self, table: Table) -> None:
        header = self.horizontalHeader()
        header.setHighlightSections(False)
        header.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self._widest = max(range(len(table.columns)), key=[column.share for column in table.columns].__getitem__)
        rows = min(max(len(table.rows), 1), _MOST_ROWS_AT_ONCE)
        self.setFixedHeight(header.sizeHint().height() + rows * _ROW_PX + 8)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Give every column what it needs and the rest to the one that may be widest; too many scroll sideways."""
        super().resizeEvent(event)
        self.resizeColumnsToContents()
        spare = self.viewport().width() - self.horizontalHeader().length()
        if spare > 0:
            self.setColumnWidth(self._widest, self.columnWidth(self._widest) + spare)

    @Slot()
    def copy_chosen(self) -> None:
        """Copy the chosen rows, or all of them, as text a spreadsheet takes."""
        chosen = sorted({index.row() for index in self.selectedIndexes()}) or range(self.rowCount())
        self._copy(chosen)

    @Slot()
    def copy_all(self) -> None:
        """Copy every row."""
        self._copy(range(self.rowCount()))

    @Slot()
    def copy_for_spreadsheet(self) -> None:
        """Copy every row, with numbers as a spreadsheet of this system reads them."""
        self._copy(range(self.rowCount()), spreadsheet=True)

    def _copy(self, rows: Iterable[int], *, spreadsheet: bool = False) -> None:
        """Put rows with their headings on the clipboard, as plain text with tabs and as an HTML table."""
        lines = [[self._text(row, column) for column in range(self.columnCount())] for row in rows]
        if spreadsheet:
            lines = [
                [for_spreadsheet(text) if column in self._numeric else text for column, text in enumerate(line)]
                for line in lines
            ]
        text = "\n".join("\t".join(cells) for cells in [self._titles, *lines])
        copy_table(text, f"<table>{_html_rows([self._titles], 'th')}{_html_rows(lines, 'td')}</table>")

    def choose_row(self, first: str) -> None:
        """Go to the row whose first cell reads so, without telling; clear the choice where there is none."""
        blocked = self.blockSignals(True)
        row = next((r for r in range(self.rowCount()) if self._text(r, 0) == first), -1)
        if row < 0:
            self.clearSelection()
        else:
            self.setCurrentCell(row, 0)
            self.scrollTo(self.model().index(row, 0))
        self.blockSignals(blocked)

    @Slot(int, int, int, int)
    def _tell_row(self, row: int, _column: int, before: int, _before_column: int) -> None:
        if row >= 0 and row != before:
            self.row_chosen.emit(self._text(row, 0))

    def _text(self, row: int, column: int) -> str:
        item = self.item(row, column)
        return item.text() if item is not None else ""


def _html_rows(rows: Sequence[Sequence[str]], tag: str) -> str:
    return "".join("<tr>" + "".join(f"<{tag}>{escape(cell)}</{tag}>" for cell in row) + "</tr>" for row in rows)
