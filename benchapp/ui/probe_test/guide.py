"""Leads through a probe's test: lets go of a probe that is open, begins, and passes on what comes of it."""

from collections.abc import Callable

from PySide6.QtCore import QObject, Slot

from benchapp.presentation.probe_test_words import RUN_GOES_ON
from benchapp.records.run import Origin
from benchapp.ui.navigator import Navigator
from benchapp.ui.probe_test.page import ProbeTestPage
from benchapp.ui.probe_test.testing import Testing
from benchapp.ui.workbench import Workbench


class ProbeTestGuide(QObject):
    """Connects the page with those who do the work."""

    def __init__(
        self, page: ProbeTestPage, testing: Testing, *, navigator: Navigator, workbench: Workbench, parent: QObject
    ) -> None:
        super().__init__(parent)
        self.page, self.testing, self._navigator, self._workbench = page, testing, navigator, workbench
        page.test_leads.connect(self._test_leads)
        page.check_clock.connect(self._check_clock)
        page.cancel.connect(testing.cancel)
        page.leave.connect(navigator.leave_settings)
        testing.leads_progressed.connect(page.show_leads_progress)
        testing.leads_tested.connect(page.show_leads)
        testing.clock_progressed.connect(page.show_clock_progress)
        testing.clock_checked.connect(page.show_clock)
        testing.failed.connect(page.show_trouble)

    @Slot()
    def show(self) -> None:
        """Show the page."""
        self.page.begin_at("")
        self._navigator.show_beside(self.page, "self-test")

    def cancel(self) -> None:
        """Stop after the next look at the probe."""
        self.testing.cancel()

    @Slot(str)
    def _test_leads(self, port: str) -> None:
        self._begin(port, self.testing.test_leads)

    @Slot(str)
    def _check_clock(self, port: str) -> None:
        self._begin(port, self.testing.check_clock)

    def _begin(self, port: str, work: Callable[[str], None]) -> None:
        if self._workbench.running:
            self.page.say(RUN_GOES_ON)
            return
        status = self._workbench.status
        if status is not None and status.origin is Origin.PROBE:
            self._workbench.close_bench()
        self.page.show_begun()
        work(port)
