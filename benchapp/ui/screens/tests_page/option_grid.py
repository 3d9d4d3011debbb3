"""The options of a test: each with its name in one column, and below it what it means."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QWidget

from benchapp.ui.look.tokens import TARGET_PX, Space, Type
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.wrap_row import WrapRow

_MOST_OF_IT = 30


class Option(QWidget):
    """The controls of one option in a row that breaks where it must; `name` and `says` stand beside and below it.

    wide is the one of the parts that takes what is left of its line.
    """

    def __init__(self, name: str, *parts: QWidget, wide: QWidget | None = None) -> None:
        super().__init__()
        self.name = PlainLabel(name)
        self.says = PlainLabel("", Type.CAPTION, soft=True, wrap=True)
        self.row = WrapRow()
        for part in parts:
            self.row.addWidget(part, _MOST_OF_IT if part is wide else 0)
        self.row.addStretch(1)
        self.setLayout(self.row)

    def show_option(self, *, shown: bool) -> None:
        """Show all of the option, or nothing of it."""
        for part in (self, self.name, self.says):
            part.setVisible(shown)


class OptionGrid(QWidget):
    """Options below each other, their names and their controls aligned."""

    def __init__(self, *options: Option, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(Space.LARGE)
        grid.setVerticalSpacing(Space.HAIR)
        grid.setColumnStretch(1, 1)
        for number, option in enumerate(options):
            option.says.setContentsMargins(0, 0, 0, Space.HAIR)
            option.name.setMinimumHeight(TARGET_PX + Space.HAIR)  # as high as a button, so that both stand on one line
            grid.addWidget(option.name, 2 * number, 0, Qt.AlignmentFlag.AlignTop)
            grid.addWidget(option, 2 * number, 1)
            grid.addWidget(option.says, 2 * number + 1, 1)
