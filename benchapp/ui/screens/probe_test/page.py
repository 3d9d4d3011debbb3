"""The page that tests a probe: its leads, with one wire put from lead to lead, and its clock."""

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QPushButton

from benchapp.presentation.screens.probe_test_words import (
    CLOCK_DONE,
    CLOCK_WORDS,
    LEADS_DONE,
    LEADS_WORDS,
    WORDS,
    share_done,
)
from benchapp.presentation.screens.probe_words import (
    clock_progress_text,
    clock_texts,
    lead_test_text,
    self_test_text,
    self_test_texts,
)
from benchapp.records.clock_check import ClockCheck, ClockProgress
from benchapp.records.self_test import SelfTest, SelfTestProgress
from benchapp.ui.look.tokens import Type
from benchapp.ui.screens.port_page import PortPage
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.labels import PlainLabel


class ProbeTestPage(PortPage):
    """The test of a probe's leads and clock on screen; Stop keeps the leads that were tested."""

    test_leads = Signal(str)
    check_clock = Signal(str)

    def __init__(self) -> None:
        super().__init__(WORDS)
        self.what = PlainLabel(f"{LEADS_WORDS}\n{CLOCK_WORDS}", Type.BODY, soft=True, wrap=True)
        self.column.insertWidget(self.column.indexOf(self.step), self.what)
        self.clock_button = button("Check its clock")
        self.clock_button.clicked.connect(self._check_clock)
        self.leads_button = button("Test its leads", Kind.MAIN)
        self.leads_button.clicked.connect(self._test_leads)
        self.foot.addWidget(self.clock_button)
        self.foot.addWidget(self.leads_button)
        self.begins = (self.leads_button, self.clock_button)

    def main_button(self) -> QPushButton | None:
        """Return the button that begins."""
        return self.leads_button

    @Slot()
    def _test_leads(self) -> None:
        self.test_leads.emit(self.port())

    @Slot()
    def _check_clock(self) -> None:
        self.check_clock.emit(self.port())

    def show_begun(self) -> None:
        """Show that a test has begun; what it is has been read."""
        super().show_begun()
        self.what.hide()

    def show_result(self, title: str, words: str) -> None:
        """Show that a test is over, and what came of it."""
        super().show_result(title, words)
        self.what.show()

    @Slot(object)
    def show_leads_progress(self, progress: SelfTestProgress) -> None:
        """Show where the wire belongs, or how far a lead is, and what was found so far."""
        self.show_step(self_test_text(progress), *share_done(progress))
        self._tell("", "\n".join(lead_test_text(lead) for lead in progress.tested))

    @Slot(object)
    def show_clock_progress(self, progress: ClockProgress) -> None:
        """Show how long the clock was listened to."""
        self.show_step(clock_progress_text(progress), round(progress.elapsed_s), round(progress.total_s))

    @Slot(object)
    def show_leads(self, test: SelfTest) -> None:
        """Show what was found of the leads, a line each, and what becomes of it."""
        self.show_result(LEADS_DONE, "\n".join(self_test_texts(test)))

    @Slot(object)
    def show_clock(self, check: ClockCheck) -> None:
        """Show what was found of the clock."""
        self.show_result(CLOCK_DONE, "\n".join(clock_texts(check)))
