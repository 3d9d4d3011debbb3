"""The middle of the window: one page at a time, and help over whichever page is shown."""

from PySide6.QtWidgets import QAbstractButton, QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from benchapp.ui.help.page import HelpPage
from benchapp.ui.tests_page.page import TestsPage
from benchapp.ui.widgets.page import PageFrame


class Stage(QStackedWidget):
    """Shows one of the pages; help covers a page and gives it back."""

    def __init__(self, pages: list[QWidget], help_page: HelpPage) -> None:
        super().__init__()
        self._help = help_page
        self._covered: QWidget | None = None
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
        self._help.browser.show_page(page)
        self.setCurrentWidget(self._help)
        self._help.browser.setFocus()

    def uncover(self) -> None:
        """Give back the page that help covered."""
        if self._covered is not None:
            self.setCurrentWidget(self._covered)


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
