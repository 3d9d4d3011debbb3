"""Buttons of which exactly one is down; the Tab key reaches every one of them."""

from PySide6.QtCore import QObject, Signal, Slot

from benchapp.ui.widgets.buttons import BenchButton


class OneOf(QObject):
    """A row of buttons of which exactly one is down.

    Qt's own group leaves all but one out of the keyboard's walk, and clicks on arrow keys.
    """

    chosen = Signal(int)

    def __init__(self, buttons: list[BenchButton], parent: QObject) -> None:
        super().__init__(parent)
        self._buttons = buttons
        for made in buttons:
            made.setCheckable(True)
            made.clicked.connect(self._pressed)

    def choose(self, index: int) -> None:
        """Put one button down without telling anybody of a change."""
        for number, made in enumerate(self._buttons):
            made.setChecked(number == index)

    def index(self) -> int:
        """Return which button is down, the first if none was put down yet."""
        return next((number for number, made in enumerate(self._buttons) if made.isChecked()), 0)

    @Slot()
    def _pressed(self) -> None:
        index = next(number for number, made in enumerate(self._buttons) if made is self.sender())
        self.choose(index)
        self.chosen.emit(index)
