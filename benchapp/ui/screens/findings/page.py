"""Findings: what the runs of the session on screen say, and the report."""

from pathlib import Path

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QPushButton, QStackedLayout, QWidget

from benchapp.presentation.ground.human_ruler import USUAL_SPEED_M_PER_S, Flight
from benchapp.presentation.ground.numbers import when
from benchapp.presentation.ground.wording import OUTCOMES
from benchapp.presentation.shown import test_words
from benchapp.records.findings import RunFindings
from benchapp.ui.kept.settings import Settings
from benchapp.ui.link.open_session import OpenSession, ReadSession
from benchapp.ui.link.workbench import Workbench
from benchapp.ui.look.theme import Theme
from benchapp.ui.look.tokens import Type
from benchapp.ui.screens.findings.describe import DescribeView
from benchapp.ui.screens.findings.sheet import FindingsSheet
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.choice_box import ChoiceBox
from benchapp.ui.widgets.empty import EmptyNote
from benchapp.ui.widgets.labels import PathLabel
from benchapp.ui.widgets.page import PageFrame
from benchapp.ui.widgets.page_scroll import PageScroll
from benchapp.ui.widgets.tick_box import TickBox


class FindingsPage(PageFrame):
    """Shows a session's page for one run at a time; the newest run first."""

    go_tests = Signal()
    report = Signal()
    speed_chosen = Signal(int)

    def __init__(self, theme: Theme, workbench: Workbench, session: OpenSession, settings: Settings) -> None:
        super().__init__("Findings", scrolls=False)
        self._theme = theme
        self._speed_m_per_s = settings.speed_m_per_s
        self._tab = ""
        self._session: ReadSession | None = None
        self.sheet: FindingsSheet | None = None
        self.runs = ChoiceBox()
        self.runs.setAccessibleName("Which run")
        self.runs.activated.connect(self._choose_run)
        self.head.addWidget(self.runs)
        self.describe_button = button("Add to the description…", name="Add to what is noted of the set and the bench")
        self.describe_button.clicked.connect(self.describe)
        self.head.addWidget(self.describe_button)
        self.photo = TickBox("With photo", name="Put the photo of the bench into the report")
        self.photo.toggled.connect(self._choose_photo)
        self.head.addWidget(self.photo)
        self.report_button = button("Report…", Kind.MAIN, name="Write the report")
        self.report_button.clicked.connect(self.report)
        self.head.addWidget(self.report_button)
        self.written = PathLabel("The report is in", Type.BODY)
        self.foot.addWidget(self.written, 1)
        self._open = session
        self._build_body()
        session.described.connect(self._described)
        session.opened.connect(self.show_session)
        workbench.opened.connect(self.show_nothing)
        session.left.connect(self.show_nothing)
        session.report_written.connect(self.show_written)
        self.show_nothing()

    def main_button(self) -> QPushButton | None:
        """Return the button that writes the report, once there is one to write."""
        if self._stack.currentWidget() is self.description:
            return self.description.keep_button
        return self.report_button if self._session is not None else self.empty.action

    def _build_body(self) -> None:
        self.empty = EmptyNote(
            "No test finished yet", "Run a test, or open a session; its findings stand here.", "Go to Tests"
        )
        self.empty.acted.connect(self.go_tests)
        self.scroller = PageScroll()
        holder = QWidget()
        self._stack = QStackedLayout(holder)  # without a place yet, its first page would open a window of its own
        self._stack.addWidget(self.empty)
        self._stack.addWidget(self.scroller)
        self.description = DescribeView()
        self.description.wanted.connect(self._open.describe)
        self.description.leave.connect(self._leave_description)
        self._stack.addWidget(self.description)
        self.task.setContentsMargins(0, 0, 0, 0)
        self.task.addWidget(holder, 1)

    @Slot()
    def show_nothing(self) -> None:
        """Show that there are no findings yet."""
        self._session = None
        self._stack.setCurrentIndex(0)
        self._hide_head()
        self.sentence.hide()

    @Slot()
    def describe(self) -> None:
        """Show what is noted of the set and the bench, to be added to."""
        if self._session is not None:
            self.description.show_facts(self._session.loaded.facts)
            self._stack.setCurrentWidget(self.description)
            self._hide_head()

    def _hide_head(self) -> None:
        for part in (self.runs, self.describe_button, self.photo, self.report_button, self.written):
            part.hide()

    @Slot(bool)
    def _choose_photo(self, wanted: bool) -> None:
        self._open.choose_photo(wanted=wanted)

    @Slot()
    def _leave_description(self) -> None:
        if self._session is not None:
            self._show_head(len(self._session.loaded.findings.runs))
            self._stack.setCurrentWidget(self.scroller)

    @Slot()
    def _described(self) -> None:
        if self._stack.currentWidget() is self.description:
            self._leave_description()

    def _show_head(self, runs: int) -> None:
        self.runs.setVisible(runs > 1)
        self.describe_button.show()
        self.photo.setVisible(self._session is not None and self._session.loaded.facts.photo is not None)
        self.report_button.show()

    @Slot(object)
    def show_session(self, session: ReadSession) -> None:
        """Show a session's newest run."""
        self._session = session
        self.photo.setChecked(True)
        self._open.choose_flight(self.flight())
        found = session.loaded.findings.runs
        self.runs.clear()
        self.runs.addItems([_run_words(run) for run in found])
        self.runs.setCurrentIndex(len(found) - 1)
        self._show_head(len(found))
        facts = session.loaded.facts
        tested = f"{test_words(found[0].test)} · " if len(found) == 1 else ""  # of several the choice above says which
        self.sentence.show_text(f"{session.page.title} · {tested}{when(facts.started)}")
        self.sentence.show()
        self.written.hide()
        self._show_run(found[-1] if found else None)
        self._stack.setCurrentIndex(1)

    @Slot(int)
    def _choose_run(self, index: int) -> None:
        if self._session is not None:
            self._show_run(self._session.loaded.findings.runs[index])

    def _show_run(self, run: RunFindings | None) -> None:
        if self._session is None:
            return
        self.sheet = FindingsSheet(self._theme, self._session, run, flight=self.flight(), tab=self._tab)
        self.sheet.tab_chosen.connect(self._keep_tab)
        if self.sheet.ruler is not None:
            self.sheet.ruler.speed_chosen.connect(self._keep_speed)
        self.scroller.show_widget(self.sheet)
        self.scroller.verticalScrollBar().setValue(0)

    def flight(self) -> Flight:
        """Return what the human ruler is drawn for."""
        speed = float(self._speed_m_per_s)
        return Flight(speed_m_per_s=speed, chosen=speed != USUAL_SPEED_M_PER_S)

    @Slot(str)
    def _keep_tab(self, key: str) -> None:
        self._tab = key

    @Slot(int)
    def _keep_speed(self, metres_a_second: int) -> None:
        self._speed_m_per_s = metres_a_second
        self._open.choose_flight(self.flight())
        self.speed_chosen.emit(metres_a_second)

    @Slot(object)
    def show_written(self, folder: Path) -> None:
        """Say where the report is."""
        self.written.show_path(str(folder))
        self.written.show()


def _run_words(run: RunFindings) -> str:
    return f"Run {run.run}: {test_words(run.test)}, {OUTCOMES[run.outcome]}"
