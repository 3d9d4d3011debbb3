"""A field for a whole number: typed, or stepped with the arrow keys."""

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QIntValidator, QKeyEvent
from PySide6.QtWidgets import QLineEdit, QWidget

_STEPS = {Qt.Key.Key_Up: 1, Qt.Key.Key_Down: -1, Qt.Key.Key_PageUp: 10, Qt.Key.Key_PageDown: -10}


class NumberField(QLineEdit):
    """A field for a whole number: once it has been left, it holds a number inside its limits."""

    changed = Signal(int)

    def __init__(self, value: int, *, least: int, most: int, parent: QWidget | None = None) -> None:
        super().__init__(str(value), parent)
        self._least, self._most = least, most
        self._value = value
        self.setValidator(QIntValidator(least, most, self))
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.textEdited.connect(self._typed)
        self.editingFinished.connect(self._settle)

    def value(self) -> int:
        """Return the number."""
        return self._value

    def set_value(self, value: int) -> None:
        """Show another number, kept inside the limits."""
        self._value = min(max(value, self._least), self._most)
        self.setText(str(self._value))
        self.changed.emit(self._value)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Step with the arrow keys."""
        step = _STEPS.get(Qt.Key(event.key())) if event.key() in _STEPS else None
        if step is None:
            super().keyPressEvent(event)
            return
        self.set_value(self._value + step)

    @Slot(str)
    def _typed(self, text: str) -> None:
        if text.isdigit() and self._least <= int(text) <= self._most:
            self._value = int(text)
            self.changed.emit(self._value)

    @Slot()
    def _settle(self) -> None:
        self.setText(str(self._value))
