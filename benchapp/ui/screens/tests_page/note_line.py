"""A line for a note, out of the way until it is wanted."""

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QWidget

from benchapp.ui.look.tokens import Space
from benchapp.ui.widgets.buttons import Kind, button

_LONGEST = 2000


class NoteLine(QWidget):
    """Takes one note at a time: Enter keeps it, Esc leaves it."""

    written = Signal(str)
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.field = QLineEdit()
        self.field.setMaxLength(_LONGEST)
        self.field.setPlaceholderText("A note for the session; Enter keeps it")
        self.field.setAccessibleName("A note for the session")
        self.field.returnPressed.connect(self._keep)
        self.keep = button("Keep the note", Kind.PLAIN)
        self.keep.clicked.connect(self._keep)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(Space.SMALL)
        row.addWidget(self.field, 1)
        row.addWidget(self.keep)
        escape = QShortcut(QKeySequence(Qt.Key.Key_Escape), self)
        escape.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        escape.activated.connect(self._leave)
        self.hide()

    def begin(self) -> None:
        """Show the line, for a note to be typed."""
        self.field.clear()
        self.show()
        self.field.setFocus()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """End Enter here: passed on, it would press the button that gets the keyboard next."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            event.accept()
            return
        super().keyPressEvent(event)

    @Slot()
    def _keep(self) -> None:
        text = self.field.text().strip()
        if text:
            self.written.emit(text)
        self._leave()

    @Slot()
    def _leave(self) -> None:
        self.hide()
        self.left.emit()
