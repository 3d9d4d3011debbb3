"""Where the window is: which page is shown, the way back, and where the keyboard begins on it."""

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtWidgets import QApplication, QWidget

from benchapp.ui.kept.steps import Step
from benchapp.ui.widgets.rail import Rail
from benchapp.ui.window.pages import Pages
from benchapp.ui.window.stage import Stage


class Navigator(QObject):
    """Leads from page to page; `arrived` tells whoever keeps a page up to date that it is shown."""

    arrived = Signal(Step)

    def __init__(self, pages: Pages, stage: Stage, rail: Rail, parent: QObject) -> None:
        super().__init__(parent)
        self._pages = pages
        self._of_steps = pages.of_steps()
        self._beside: dict[QWidget, str] = {pages.capture: "capture", pages.settings: "settings"}
        self._stage = stage
        self._rail = rail
        self._places: list[Step] = []
        self.step = Step.START

    @Slot(Step)
    def go(self, step: Step) -> None:
        """Show a page."""
        if self._places[-1:] != [step]:
            self._places.append(step)
        self.step = step
        self._stage.setCurrentWidget(self._of_steps[step])
        self.arrived.emit(step)
        self.place_focus()

    @Slot()
    def go_back(self) -> None:
        """Show the page that was shown before."""
        if len(self._places) > 1:
            self._places.pop()
            self.go(self._places[-1])

    def place_focus(self) -> None:
        """Give the keyboard to what the page begins with, unless it walks along the rail."""
        focused = QApplication.focusWidget()
        first = self._stage.first_focus()
        if first is not None and first.isEnabled() and not (focused is not None and self._rail.isAncestorOf(focused)):
            first.setFocus()

    @Slot()
    def go_start(self) -> None:
        """Show Start."""
        self.go(Step.START)

    @Slot()
    def go_leads(self) -> None:
        """Show Leads."""
        self.go(Step.LEADS)

    @Slot()
    def go_safe(self) -> None:
        """Show Make it safe."""
        self.go(Step.SAFE)

    @Slot()
    def go_tests(self) -> None:
        """Show Tests."""
        self.go(Step.TESTS)

    @Slot()
    def go_findings(self) -> None:
        """Show Findings."""
        self.go(Step.FINDINGS)

    @Slot()
    def go_put_back(self) -> None:
        """Show Put it back."""
        self.go(Step.PUT_BACK)

    @Slot()
    def show_capture(self) -> None:
        """Show the page that opens a capture, in the place of Start."""
        self.go(Step.START)
        self._stage.setCurrentWidget(self._pages.capture)

    @Slot()
    def show_settings(self) -> None:
        """Show the settings over whatever page is shown."""
        self._stage.setCurrentWidget(self._pages.settings)
        self.place_focus()

    def show_beside(self, page: QWidget, help_page: str) -> None:
        """Show a page that is no step over whatever page is shown; help_page is its page of the help."""
        self._beside[page] = help_page
        self._stage.setCurrentWidget(page)
        self.place_focus()

    @Slot()
    def leave_settings(self) -> None:
        """Show again the page the settings, or the installing, were opened on."""
        self.go(self.step)

    @Slot()
    def show_help(self) -> None:
        """Show the help of the page that is shown; once more leads back."""
        if self._stage.covered:
            self.leave_help()
        else:
            shown = self._stage.currentWidget()
            self.show_help_page(next((key for page, key in self._beside.items() if page is shown), self.step.key))

    @Slot()
    def show_keys(self) -> None:
        """Show the list of keys."""
        self.show_help_page("keys")

    @Slot(str)
    def show_help_page(self, page: str) -> None:
        """Show one page of the help."""
        browser = self._pages.help.browser
        browser.show_page(page)
        self._stage.cover(self._pages.help)
        browser.setFocus()

    @Slot()
    def leave_help(self) -> None:
        """Show again what was shown before the help."""
        if not self._stage.uncover():
            self.place_focus()
