"""The help page: whatever page it was asked from comes back when it is left."""

from pathlib import Path

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QFileDialog, QHBoxLayout, QPushButton

from benchapp.presentation.screens.port_page_words import INSTALL_OFFER, TEST_OFFER
from benchapp.ui.look.theme import Theme, scaled
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.screens.help.browser import HelpBrowser
from benchapp.ui.screens.help.contents import TO_INSTALL, TO_TEST
from benchapp.ui.screens.help.page_list import HelpList
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.page import PageFrame

_LIST_PX = (250, 400)
_ROOM_FOR_BOTH_PX = 900


class HelpPage(PageFrame):
    """Shows one page of the help; Esc or Back leaves it and stops nothing."""

    leave = Signal()
    install_wanted = Signal()
    test_wanted = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__("Help", scrolls=False)
        self.browser = HelpBrowser(theme)
        self.list = HelpList()
        self.list.wanted.connect(self.browser.show_page)
        self.browser.shown.connect(self._shown)
        row = QHBoxLayout()
        row.setSpacing(Space.LARGE)
        row.addWidget(self.list, 1)
        row.addWidget(self.browser, 20)
        self.task.addLayout(row, 1)
        self.said = PlainLabel("", Type.BODY, soft=True, wrap=True)
        self.paper_button = button("Save this page as a PDF…", name="Save this page as a PDF, to print it")
        self.paper_button.clicked.connect(self.ask_paper)
        self.back_button = button("Back", Kind.MAIN)
        self.back_button.clicked.connect(self.leave)
        self.foot.addWidget(self.paper_button)
        self.install_button = button(INSTALL_OFFER)
        self.install_button.clicked.connect(self.install_wanted)
        self.test_button = button(TEST_OFFER)
        self.test_button.clicked.connect(self.test_wanted)
        self.foot.addWidget(self.said, 1)
        for made in (self.install_button, self.test_button, self.back_button):
            self.foot.addWidget(made)
        self._offer("")
        escape = QShortcut(QKeySequence(Qt.Key.Key_Escape), self)
        escape.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        escape.activated.connect(self.leave)

    def main_button(self) -> QPushButton | None:
        """Return the button that leaves."""
        return self.back_button

    @Slot(str)
    def _shown(self, page: str) -> None:
        self.list.show_page(page)
        self.said.show_text("")
        self._offer(page)

    def _offer(self, page: str) -> None:
        """Offer what a page leads to, where it leads to something that can be done here."""
        self.install_button.setVisible(page in TO_INSTALL)
        self.test_button.setVisible(page in TO_TEST)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Show the list where there is room for it beside a page."""
        super().resizeEvent(event)
        self.list.setMinimumWidth(scaled(_LIST_PX[0]))
        self.list.setMaximumWidth(scaled(_LIST_PX[1]))
        room = event.size().width() >= scaled(_ROOM_FOR_BOTH_PX)
        self.list.setVisible(room)
        self.browser.show_list(whole=not room)

    @Slot()
    def ask_paper(self) -> None:
        """Ask where this page is to be kept for printing."""
        chosen, _ = QFileDialog.getSaveFileName(
            self, "Save this page of the help", f"{self.browser.page}.pdf", "PDF (*.pdf)"
        )
        if chosen:
            self.save_paper(Path(chosen))

    def save_paper(self, path: Path) -> None:
        """Keep this page as a PDF, and say where it is."""
        # only whoever prints waits for what prints to be loaded
        from benchapp.ui.screens.help.paper import save_page  # noqa: PLC0415

        done = save_page(self.browser.page, path)
        self.said.show_text(
            f"The page is in {path}"
            if done
            else f"The page could not be written to {path}. Choose another folder, or make room."
        )
