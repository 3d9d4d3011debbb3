"""The keys that work on every page."""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Qt, Slot
from PySide6.QtGui import QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QAbstractButton, QApplication, QWidget

from benchapp.ui.kept.steps import NUMBERED, Step
from benchapp.ui.widgets.confirm_line import ENTER_ONLY_CONFIRMS

if TYPE_CHECKING:
    from benchapp.ui.window.navigator import Navigator


class StepKeys(QObject):
    """Ctrl+1 to Ctrl+6 go to the steps."""

    def __init__(self, window: QWidget, navigator: "Navigator") -> None:
        super().__init__(window)
        self._navigator = navigator
        for number, step in enumerate(NUMBERED, start=1):
            shortcut = QShortcut(QKeySequence(f"Ctrl+{number}"), window)
            shortcut.setObjectName(step.name)
            shortcut.activated.connect(self._go)

    @Slot()
    def _go(self) -> None:
        self._navigator.go(Step[self.sender().objectName()])


def make_keys(window: QWidget, slots: Mapping[str, Callable[[], object]]) -> None:
    """Connect each key to what it does."""
    for keys, slot in slots.items():
        QShortcut(QKeySequence(keys), window).activated.connect(slot)


def _would_take_back(pressed: QAbstractButton) -> bool:
    """Return whether pressing would take back what was confirmed: that needs a click or the space bar."""
    return pressed.isChecked() and pressed.property(ENTER_ONLY_CONFIRMS) is True


def press_with_enter(event: QKeyEvent, main: QAbstractButton | None) -> bool:
    """Press the button that has the focus, else the main one of the page; return whether the key was Enter."""
    if event.key() not in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
        return False
    focused = QApplication.focusWidget()
    pressed = focused if isinstance(focused, QAbstractButton) else main
    if pressed is not None and pressed.isEnabled() and not event.isAutoRepeat() and not _would_take_back(pressed):
        pressed.click()
    return True
