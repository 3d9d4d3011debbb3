"""The help page: whatever page it was asked from comes back when it is left."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QPushButton

from benchapp.ui.help.browser import HelpBrowser
from benchapp.ui.theme import Theme
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.page import PageFrame


class HelpPage(PageFrame):
    """Shows one page of the help; Esc or Back leaves it and stops nothing."""

    leave = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__("Help", scrolls=False)
        self.browser = HelpBrowser(theme)
        self.task.addWidget(self.browser, 1)
        self.back_button = button("Back", Kind.MAIN)
        self.back_button.clicked.connect(self.leave)
        self.foot.addStretch(1)
        self.foot.addWidget(self.back_button)
        escape = QShortcut(QKeySequence(Qt.Key.Key_Escape), self)
        escape.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        escape.activated.connect(self.leave)

    def main_button(self) -> QPushButton | None:
        """Return the button that leaves."""
        return self.back_button
