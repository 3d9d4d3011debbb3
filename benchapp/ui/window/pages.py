"""Every page of the window, made once and kept."""

from dataclasses import dataclass

from PySide6.QtWidgets import QWidget

from benchapp.ui.kept.settings import Settings
from benchapp.ui.kept.steps import Step
from benchapp.ui.link.open_session import OpenSession
from benchapp.ui.link.workbench import Workbench
from benchapp.ui.look.theme import Theme
from benchapp.ui.screens.bench.page import BenchPage
from benchapp.ui.screens.captures.page import CapturePage
from benchapp.ui.screens.findings.page import FindingsPage
from benchapp.ui.screens.help.page import HelpPage
from benchapp.ui.screens.leads.page import LeadsPage
from benchapp.ui.screens.put_back.page import PutBackPage
from benchapp.ui.screens.safe.page import SafePage
from benchapp.ui.screens.settings_page.page import SettingsPage
from benchapp.ui.screens.start.page import StartPage
from benchapp.ui.screens.tests_page.page import TestsPage


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Pages:
    """The pages by their names; those of the rail are also found by their step."""

    start: StartPage
    bench: BenchPage
    leads: LeadsPage
    safe: SafePage
    tests: TestsPage
    findings: FindingsPage
    put_back: PutBackPage
    capture: CapturePage
    settings: SettingsPage
    help: HelpPage

    def of_steps(self) -> dict[Step, QWidget]:
        """Return the page of each place on the rail."""
        return {
            Step.START: self.start,
            Step.BENCH: self.bench,
            Step.LEADS: self.leads,
            Step.SAFE: self.safe,
            Step.TESTS: self.tests,
            Step.FINDINGS: self.findings,
            Step.PUT_BACK: self.put_back,
        }

    def behind_start(self) -> list[QWidget]:
        """Return every page but Start."""
        steps = [page for page in self.of_steps().values() if page is not self.start]
        return [*steps, self.capture, self.settings, self.help]


def make_pages(
    start: StartPage, theme: Theme, workbench: Workbench, session: OpenSession, *, settings: Settings
) -> Pages:
    """Return Start and all the pages behind it, each with what it shows and whom it asks."""
    return Pages(
        start=start,
        bench=BenchPage(workbench),
        leads=LeadsPage(theme, workbench),
        safe=SafePage(workbench),
        tests=TestsPage(theme, workbench, settings),
        findings=FindingsPage(theme, workbench, session, settings),
        put_back=PutBackPage(workbench),
        capture=CapturePage(theme),
        settings=SettingsPage(),
        help=HelpPage(theme),
    )
