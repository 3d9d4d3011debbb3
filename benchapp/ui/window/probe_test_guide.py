"""Leads through a probe's test: has an open probe let go, begins, and passes on what comes of it."""

from PySide6.QtCore import QObject, Slot

from benchapp.ui.link.workbench import Workbench
from benchapp.ui.screens.port_work import PortWork
from benchapp.ui.screens.probe_test.page import ProbeTestPage
from benchapp.ui.window.navigator import Navigator


class ProbeTestGuide(QObject):
    """Connects the page with the works that test the leads and check the clock."""

    def __init__(
        self,
        page: ProbeTestPage,
        leads: PortWork,
        clock: PortWork,
        *,
        navigator: Navigator,
        workbench: Workbench,
        parent: QObject,
    ) -> None:
        super().__init__(parent)
        self.page, self._leads, self._clock = page, leads, clock
        self._navigator, self._workbench = navigator, workbench
        page.test_leads.connect(self._test_leads)
        page.check_clock.connect(self._check_clock)
        page.leave.connect(navigator.leave_settings)
        page.cancel.connect(self.cancel)
        leads.progressed.connect(page.show_leads_progress)
        leads.finished.connect(page.show_leads)
        clock.progressed.connect(page.show_clock_progress)
        clock.finished.connect(page.show_clock)
        for work in (leads, clock):
            work.failed.connect(page.show_trouble)

    @Slot()
    def show(self) -> None:
        """Show the page."""
        self.page.begin_at("")
        self._navigator.show_beside(self.page, "self-test")

    @Slot()
    def cancel(self) -> None:
        """Stop after the next look at the probe."""
        for work in (self._leads, self._clock):
            work.cancel()

    @Slot(str)
    def _test_leads(self, port: str) -> None:
        self._begin(port, self._leads)

    @Slot(str)
    def _check_clock(self, port: str) -> None:
        self._begin(port, self._clock)

    def _begin(self, port: str, work: PortWork) -> None:
        if self._workbench.let_go():
            self.page.show_begun()
            work.begin(port)
        else:
            self.page.say_run_goes_on()
