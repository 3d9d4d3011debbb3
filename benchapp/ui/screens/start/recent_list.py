"""The sessions that were open lately; one that cannot be read is struck out, with its reason."""

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QSize, Qt, Signal, Slot
from PySide6.QtGui import QFontMetrics, QKeyEvent, QPainter, QPalette
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from benchapp.presentation.screens.shelf_words import shelf_line, shelf_name
from benchapp.ui.kept.recents import Recent
from benchapp.ui.look.theme import font
from benchapp.ui.look.tokens import RADIUS_PX, Space, Type

_PATH = Qt.ItemDataRole.UserRole
_LINE = Qt.ItemDataRole.UserRole + 1
_STRUCK = Qt.ItemDataRole.UserRole + 2
_LEAST_PX = 200


class RecentList(QListWidget):
    """Opens a session by a double click or by Enter; Delete asks for its deletion."""

    chosen = Signal(object)
    delete_wanted = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Recent sessions")
        self.setFont(font(Type.BODY))
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QListWidget.ScrollMode.ScrollPerPixel)
        self.setItemDelegate(_TwoLines(self))
        self.itemActivated.connect(self._open)

    def show_sessions(self, sessions: Sequence[tuple[Recent, str]]) -> None:
        """Show these sessions, each with why it cannot be read, "" where it can.

        The marked one stays marked, or the one that took its place; one that came first meanwhile is marked instead.
        """
        before, row, current = self._first(), self.currentRow(), self.current()
        self.clear()
        for recent, reason in sessions:
            line = shelf_line(started=recent.started, origin=recent.origin, reason=reason, told=recent.told)
            self.add_line(Path(recent.path), recent.name, line, struck=bool(reason))
        paths = [Path(recent.path) for recent, _ in sessions]
        if current in paths and self._first() == before:
            row = paths.index(current)
        elif current in paths:
            row = 0
        self.setCurrentRow(min(max(row, 0), len(paths) - 1))
        self.updateGeometry()

    def add_line(self, path: Path, name: str, line: str, *, struck: bool = False) -> None:
        """Add a session at the end: what it is known by here, its name, and the line under it."""
        shown = shelf_name(name)
        item = QListWidgetItem(shown)
        item.setData(_PATH, str(path))
        item.setData(_LINE, line)
        item.setData(_STRUCK, struck)
        said = f"{shown}, cannot be read: {line}" if struck else f"{shown}, {line}"
        item.setData(Qt.ItemDataRole.AccessibleTextRole, said)
        self.addItem(item)

    def _first(self) -> str:
        return str(self.item(0).data(_PATH)) if self.count() else ""

    def current(self) -> Path | None:
        """Return the session that is marked, None where there is none."""
        item = self.currentItem()
        return None if item is None else Path(item.data(_PATH))

    def current_name(self) -> str:
        """Return the name of the session that is marked."""
        item = self.currentItem()
        return "" if item is None else item.text()

    def readable(self) -> Path | None:
        """Return the newest session that can be read, None where there is none."""
        found = (self.item(row) for row in range(self.count()))
        return next((Path(item.data(_PATH)) for item in found if not item.data(_STRUCK)), None)

    def struck_out(self, row: int) -> str:
        """Return why the session in a row cannot be read, "" where it can."""
        item = self.item(row)
        return str(item.data(_LINE)) if item.data(_STRUCK) else ""

    def sizeHint(self) -> QSize:
        """Return room for one session; the list grows with the room there is."""
        return QSize(super().sizeHint().width(), _row_px() + 2 * Space.SMALL)

    def minimumSizeHint(self) -> QSize:
        """Return room for one of them."""
        return QSize(_LEAST_PX, _row_px() + 2 * Space.SMALL)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Open with Enter, ask for deletion with Delete."""
        current = self.current()
        if current is not None and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.chosen.emit(current)
        elif current is not None and event.key() == Qt.Key.Key_Delete:
            self.delete_wanted.emit(current)
        else:
            super().keyPressEvent(event)

    @Slot(QListWidgetItem)
    def _open(self, item: QListWidgetItem) -> None:
        self.chosen.emit(Path(item.data(_PATH)))


def _row_px() -> int:
    return QFontMetrics(font(Type.BODY)).height() + QFontMetrics(font(Type.CAPTION)).height() + Space.MEDIUM


class _TwoLines(QStyledItemDelegate):
    """Draws a session's name, and under it when it was or why it cannot be read."""

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex) -> QSize:
        """Return the height of two lines."""
        return QSize(0, _row_px())

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        """Draw both lines."""
        rect: QRect = option.rect
        state: QStyle.StateFlag = option.state
        palette: QPalette = option.palette
        painter.save()
        if state & QStyle.StateFlag.State_Selected:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(palette.color(QPalette.ColorRole.Midlight))
            painter.drawRoundedRect(rect, RADIUS_PX / 2, RADIUS_PX / 2)
        inside = rect.adjusted(Space.SMALL, Space.HAIR, -Space.SMALL, -Space.HAIR)
        struck = bool(index.data(_STRUCK))
        letters = font(Type.BODY)
        letters.setStrikeOut(struck)
        upper = inside.adjusted(0, 0, 0, -inside.height() // 2 + Space.HAIR // 2)
        painter.setFont(letters)
        painter.setPen(palette.color(QPalette.ColorRole.PlaceholderText if struck else QPalette.ColorRole.Text))
        _line(painter, upper, str(index.data()))
        painter.setFont(font(Type.CAPTION))
        painter.setPen(palette.color(QPalette.ColorRole.PlaceholderText))
        _line(painter, inside.adjusted(0, upper.height(), 0, 0), str(index.data(_LINE)))
        painter.restore()


def _line(painter: QPainter, place: QRect, text: str) -> None:
    shown = painter.fontMetrics().elidedText(text, Qt.TextElideMode.ElideMiddle, place.width())
    painter.drawText(place, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, shown)
