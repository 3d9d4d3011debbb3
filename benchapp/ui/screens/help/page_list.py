"""The list of the help's pages, beside the page that is shown."""

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

from benchapp.ui.look.theme import font
from benchapp.ui.look.tokens import Type
from benchapp.ui.screens.help.contents import CONTENTS


class HelpList(QListWidget):
    """Shows every page under its heading; choosing one shows it."""

    wanted = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Pages of the help")
        self.setFont(font(Type.BODY))
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setWordWrap(True)
        self._items: dict[str, QListWidgetItem] = {}
        for heading, group in CONTENTS.items():
            head = QListWidgetItem(heading)
            head.setFlags(Qt.ItemFlag.NoItemFlags)
            head.setFont(font(Type.CAPTION, bold=True))
            self.addItem(head)
            for page, title in group.items():
                item = QListWidgetItem(title)
                item.setData(Qt.ItemDataRole.UserRole, page)
                self.addItem(item)
                self._items[page] = item
        self.currentItemChanged.connect(self._choose)

    @Slot(str)
    def show_page(self, page: str) -> None:
        """Mark the page that is shown, without asking for another."""
        self.blockSignals(True)
        if page in self._items:
            self.setCurrentItem(self._items[page])
            self.scrollToItem(self._items[page])
        else:
            self.setCurrentRow(-1)
        self.blockSignals(False)

    @Slot(QListWidgetItem)
    def _choose(self, item: QListWidgetItem | None) -> None:
        if item is not None and item.data(Qt.ItemDataRole.UserRole):
            self.wanted.emit(str(item.data(Qt.ItemDataRole.UserRole)))
