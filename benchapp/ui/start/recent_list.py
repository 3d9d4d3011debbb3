"""The sessions that were open lately; one that cannot be read is struck out, with its reason."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

from benchapp.presentation.cleaning import clean
from benchapp.ui.theme import font
from benchapp.ui.tokens import Space, Type

_PATH = Qt.ItemDataRole.UserRole
_LONGEST = 120
_ROWS_SHOWN = 3
_GONE = "no longer there"


class RecentList(QListWidget):
    """Opens a session by a click or by Enter."""

    chosen = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Recent sessions")
        self.setFont(font(Type.BODY))
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setTextElideMode(Qt.TextElideMode.ElideMiddle)
        self.setUniformItemSizes(True)
        self.itemClicked.connect(self._open)
        self.itemActivated.connect(self._open)

    def show_sessions(self, paths: Sequence[Path], reasons: Mapping[Path, str]) -> None:
        """Show these sessions; reasons says why some cannot be read."""
        self.clear()
        for path in paths:
            reason = reasons.get(path, "" if path.exists() else _GONE)
            item = QListWidgetItem(clean(path.stem)[:_LONGEST] + (f" – {reason}" if reason else ""))
            item.setData(_PATH, str(path))
            letters = font(Type.BODY)
            letters.setStrikeOut(bool(reason))
            item.setFont(letters)
            self.addItem(item)
        if paths:
            self.setCurrentRow(0)
        self.setVisible(bool(paths))
        rows = min(len(paths), _ROWS_SHOWN)
        self.setFixedHeight(rows * max(self.sizeHintForRow(0), 1) + 2 * self.frameWidth() + 2 * Space.HAIR)

    def readable(self) -> Path | None:
        """Return the newest session that can be read, None where there is none."""
        found = (self.item(row) for row in range(self.count()))
        return next((Path(item.data(_PATH)) for item in found if not item.font().strikeOut()), None)

    @Slot(QListWidgetItem)
    def _open(self, item: QListWidgetItem) -> None:
        self.chosen.emit(Path(item.data(_PATH)))
