"""Something long that stands folded until it is asked for."""

from PySide6.QtCore import Qt, Slot
from PySide6.QtWidgets import QVBoxLayout, QWidget

from benchapp.ui.look.tokens import Space
from benchapp.ui.widgets.buttons import Kind, button


class Fold(QWidget):
    """A button with the words of what is folded, and below it the content once the button is pressed."""

    def __init__(self, show: str, hide: str, content: QWidget, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._words = {False: show, True: hide}
        self.content = content
        self.toggle = button(show, Kind.PLAIN)
        self.toggle.setCheckable(True)
        self.toggle.clicked.connect(self._unfold)
        content.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, Space.SMALL, 0, 0)
        column.setSpacing(Space.MEDIUM)
        column.addWidget(self.toggle, 0, Qt.AlignmentFlag.AlignLeft)
        column.addWidget(content)

    @Slot(bool)
    def _unfold(self, shown: bool) -> None:
        self.content.setVisible(shown)
        self.toggle.setText(self._words[shown])
        self.toggle.setAccessibleName(self._words[shown])
