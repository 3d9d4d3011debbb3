"""The middle of the window: one page at a time, and help over whichever page is shown."""

from PySide6.QtWidgets import QAbstractButton, QApplication, QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget
from shiboken6 import isValid

from benchapp.ui.help.page import HelpPage
from benchapp.ui.tests_page.page import TestsPage
from benchapp.ui.widgets.page import PageFrame


class Stage(QStackedWidget):
    """Shows one of the pages; help covers a page and gives it back."""

    def __init__(self, pages: list[QWidget], help_page: HelpPage) -> None:
        super().__init__()
        self._help = help_page
        self._covered: QWidget | None = None
        self._focused: QWidget | None = None
        for page in (*pages, help_page):
            self.addWidget(page)

    @property
    def shows_help(self) -> bool:
        """Whether help covers a page."""
        return self.currentWidget() is self._help

    def main_button(self) -> QAbstractButton | None:
        """Return the button Enter presses on the page that is shown."""
        page = self.currentWidget()
        return page.main_button() if isinstance(page, PageFrame | TestsPage) else None

    def cover(self, page: str) -> None:
        """Show a page of the help over the page that is shown."""
        if not self.shows_help:
            self._covered = self.currentWidget()
            self._focused = QApplication.focusWidget()
        self._help.browser.show_page(page)
        self.setCurrentWidget(self._help)
        self._help.browser.setFocus()

    def uncover(self) -> bool:
        """Give back the page that help covered, and the keyboard to what had it there; return whether that went."""
        focused = QApplication.focusWidget()
        if focused is not None and self._help.isAncestorOf(focused):
            focused.clearFocus()  # else Qt hands the keyboard to whatever comes next, as the help is hidden
        if self._covered is not None:
            self.setCurrentWidget(self._covered)
        back, self._focused = self._focused, None
        if back is None or not isValid(back) or not back.isVisible() or not back.isEnabled():
            return False
        back.setFocus()
        return True


def arranged(*, rail: QWidget, banner: QWidget, stage: QWidget, strip: QWidget) -> QWidget:
    """Return the whole window's inside: the rail at the left, the stage under the banner, the strip at the bottom."""
    middle = QVBoxLayout()
    middle.setSpacing(0)
    middle.addWidget(banner)
    middle.addWidget(stage, 1)
    across = QHBoxLayout()
    across.setSpacing(0)
    across.addWidget(rail)
    across.addLayout(middle, 1)
    whole = QVBoxLayout()
    whole.setContentsMargins(0, 0, 0, 0)
    whole.setSpacing(0)
    whole.addLayout(across, 1)
    whole.addWidget(strip)
    central = QWidget()
    central.setLayout(whole)
    return central
