"""Tests: choose one, then run it."""

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QPushButton, QStackedWidget

from benchapp.acquisition.wishes import StartRun
from benchapp.ui.kept.settings import Settings
from benchapp.ui.link.workbench import Workbench
from benchapp.ui.look.theme import Theme
from benchapp.ui.screens.tests_page.choice import TestChoice
from benchapp.ui.screens.tests_page.run import RunPage


class TestsPage(QStackedWidget):
    """The choice, and in its place the run while there is one."""

    __test__ = False

    go_safe = Signal()
    go_leads = Signal()
    go_start = Signal()
    see_findings = Signal()
    started = Signal(object)
    put_back = Signal()

    def __init__(self, theme: Theme, workbench: Workbench, settings: Settings) -> None:
        super().__init__()
        self._workbench = workbench
        self._run_before: int | None = None
        self.choice = TestChoice(workbench, settings)
        self.run = RunPage(theme, workbench)
        self.addWidget(self.choice)
        self.addWidget(self.run)
        self.choice.start.connect(self._start)
        self.choice.go_safe.connect(self.go_safe)
        self.choice.go_leads.connect(self.go_leads)
        self.choice.go_start.connect(self.go_start)
        self.run.see_findings.connect(self.see_findings)
        self.run.another.connect(self.show_choice)
        self.run.put_back.connect(self.put_back)
        self.run.go_safe.connect(self.go_safe)
        workbench.opened.connect(self.show_choice)
        workbench.closed.connect(self.show_choice)
        workbench.status_changed.connect(self._follow)

    def main_button(self) -> QPushButton | None:
        """Return what Enter presses."""
        return self.run.main_button() if self.currentWidget() is self.run else self.choice.main_button()

    @Slot()
    def show_choice(self) -> None:
        """Show the cards."""
        self._run_before = None
        self.setCurrentWidget(self.choice)

    def repeat(self) -> None:
        """Start the test again as it is set; while one runs, or none may be started, nothing happens."""
        if self.run.calm.over and not self._workbench.running and self.choice.start_button.isEnabled():
            self.choice.start_button.click()

    @Slot(object)
    def _start(self, wish: StartRun) -> None:
        if self._workbench.running or not self.run.calm.over:
            return  # the second press of a double click
        choice = self.choice
        self.run.begin(wish, sounds=choice.sounds.isChecked(), chosen=choice.stick_choice())
        status = self._workbench.status
        self._run_before = status.run.run if status is not None and status.run is not None else 0
        self.started.emit(wish)
        self._workbench.start_run(wish)

    @Slot()
    def _follow(self) -> None:
        """Show the run that goes on, or the one that was started and is over before it was seen to go on."""
        status = self._workbench.status
        run = None if status is None else status.run
        begun = run is not None and self._run_before is not None and run.run != self._run_before
        if not begun and not self._workbench.running:
            return
        self._run_before = None
        if self.currentWidget() is not self.run and status is not None:
            self.setCurrentWidget(self.run)
            self.run.show_status(status)
