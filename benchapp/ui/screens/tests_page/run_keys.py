"""The keys of the run page: they act on this page only, and never inside its note.

The keyboard belongs to the practice switch or stick, else to the page itself, never to a button: a button that hides
hands its focus to the next, and a hasty Enter would press Stop.
"""

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QWidget

SINGLE = (Qt.Key.Key_Backspace, Qt.Key.Key_N, Qt.Key.Key_M)


class RunKeys:
    """The page's shortcuts; single keys can be turned off, Esc always stops and keeps."""

    def __init__(self, page: QWidget, slots: dict[QKeySequence, Callable[[], object]]) -> None:
        single = [QKeySequence(key) for key in SINGLE]
        self._wanted = True
        self._all: list[QShortcut] = []
        self._single: list[QShortcut] = []
        for key, slot in slots.items():
            made = QShortcut(key, page)
            made.setAutoRepeat(False)  # a key that is held means it once: Esc asks first, Backspace drops one flip
            made.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            made.activated.connect(slot)
            self._all.append(made)
            if key in single:
                self._single.append(made)

    def use_single(self, wanted: bool) -> None:
        """Let single keys act, or leave them without meaning."""
        self._wanted = wanted
        self.act()

    def act(self) -> None:
        """Let the keys act again, single ones only where they are wanted."""
        for made in self._all:
            made.setEnabled(self._wanted or made not in self._single)

    def rest(self) -> None:
        """Leave the keys to a text that is being written."""
        for made in self._all:
            made.setEnabled(False)
