"""The page that tests a probe: its port, what to do, how far it is, what was found."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QProgressBar, QPushButton, QVBoxLayout

from benchapp.presentation.install_words import port_words
from benchapp.presentation.messages import Message
from benchapp.presentation.probe_test_words import (
    AGREED,
    CLOCK_DONE,
    CLOCK_WORDS,
    LEADS_DONE,
    LEADS_WORDS,
    NO_PORT,
    SENTENCE,
    STOPPING,
    TITLE,
    share_done,
    trouble_lines,
)
from benchapp.presentation.probe_words import (
    ask_before_testing,
    clock_progress_text,
    clock_texts,
    lead_test_text,
    self_test_text,
    self_test_texts,
)
from benchapp.records.clock_check import ClockCheck, ClockProgress
from benchapp.records.self_test import SelfTest, SelfTestProgress
from benchapp.ui.desk_calls import Port
from benchapp.ui.tokens import Space, Type
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.choice_box import ChoiceBox
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.page import PageFrame, card
from benchapp.ui.widgets.tick_box import TickBox
from benchapp.ui.widgets.wrap_row import WrapRow


class ProbeTestPage(PageFrame):
    """Asks before a port is opened on which no probe was seen; Stop keeps the leads that were tested."""

    test_leads = Signal(str)
    check_clock = Signal(str)
    cancel = Signal()
    leave = Signal()

    def __init__(self, list_ports: Callable[[], Sequence[Port]], is_seen: Callable[[str], bool]) -> None:
        super().__init__(TITLE, SENTENCE)
        self._list_ports, self._is_seen = list_ports, is_seen
        self._busy = False
        self.port_choice = ChoiceBox()
        self.port_choice.setAccessibleName("Port of the probe")
        self.port_choice.currentIndexChanged.connect(self._port_chosen)
        self.look_again = button("Look again", Kind.QUIET, name="Look for ports again")
        self.look_again.clicked.connect(self.show_ports)
        self.question = PlainLabel("", Type.BODY, wrap=True)
        self.agreed = TickBox(AGREED)
        self.agreed.clicked.connect(self._show_buttons)
        self.what = PlainLabel(f"{LEADS_WORDS}\n{CLOCK_WORDS}", Type.BODY, soft=True, wrap=True)
        self.step = PlainLabel("", Type.HEADING, wrap=True)
        self.bar = QProgressBar()
        self.bar.setTextVisible(False)
        self.bar.setAccessibleName("How far the test is")
        self.result_title = PlainLabel("", Type.HEADING, bold=True, wrap=True)
        self.result = PlainLabel("", Type.BODY, wrap=True)
        self._arrange()
        self._build_foot()
        self._end("", "")

    def _arrange(self) -> None:
        frame = card()
        column = QVBoxLayout(frame)
        column.setContentsMargins(Space.LARGE, Space.LARGE, Space.LARGE, Space.LARGE)
        column.setSpacing(Space.MEDIUM)
        row = WrapRow(spacing=Space.HAIR)
        row.addWidget(self.port_choice, 1)
        row.addWidget(self.look_again)
        column.addLayout(row)
        for part in (self.question, self.agreed, self.what, self.step, self.bar, self.result_title, self.result):
            column.addWidget(part)
        self.task.addWidget(frame)
        self.task.addStretch(1)

    def _build_foot(self) -> None:
        self.leave_button = button("Back", name="Back to the page before")
        self.leave_button.clicked.connect(self.leave)
        self.cancel_button = button("Stop", name="Stop the test")
        self.cancel_button.clicked.connect(self._cancel)
        self.clock_button = button("Check its clock")
        self.clock_button.clicked.connect(self._check_clock)
        self.leads_button = button("Test its leads", Kind.MAIN)
        self.leads_button.clicked.connect(self._test_leads)
        self.foot.addWidget(self.leave_button)
        self.foot.addWidget(self.cancel_button)
        self.foot.addStretch(1)
        self.foot.addWidget(self.clock_button)
        self.foot.addWidget(self.leads_button)

    def main_button(self) -> QPushButton | None:
        """Return the button that begins; Stop is never pressed by Enter alone."""
        return self.leads_button

    def port(self) -> str:
        """Return the port that is chosen, "" where there is none."""
        return str(self.port_choice.currentData() or "")

    def begin_at(self, port: str) -> None:
        """Show the page anew, with a port chosen if it is there; while a probe is tested it stays as it is."""
        if self._busy:
            return
        self._end("", "")
        self.show_ports()
        index = self.port_choice.findData(port)
        if index >= 0:
            self.port_choice.setCurrentIndex(index)

    @Slot()
    def show_ports(self) -> None:
        """List the ports there are now."""
        before = self.port()
        self.port_choice.clear()
        for port in self._list_ports():
            self.port_choice.addItem(port_words(port.name, port.words), port.name)
        self.port_choice.setCurrentIndex(max(self.port_choice.findData(before), 0))
        self._port_chosen()

    @Slot()
    def _port_chosen(self) -> None:
        port = self.port()
        ask = bool(port) and not self._is_seen(port)
        self.question.show_text(ask_before_testing(port) if ask else NO_PORT)
        self.question.setVisible(ask or not port)
        self.agreed.setChecked(False)
        self.agreed.setVisible(ask)
        self._show_buttons()

    @Slot()
    def _show_buttons(self) -> None:
        agreed = self.agreed.isHidden() or self.agreed.isChecked()
        for begins in (self.leads_button, self.clock_button):
            begins.setEnabled(bool(self.port()) and agreed and not self._busy)
        for part in (self.port_choice, self.look_again, self.agreed, self.leave_button):
            part.setEnabled(not self._busy)
        for shown in (self.step, self.bar, self.cancel_button):
            shown.setVisible(self._busy)
        self.what.setVisible(not self._busy)

    @Slot()
    def _test_leads(self) -> None:
        self.test_leads.emit(self.port())

    @Slot()
    def _check_clock(self) -> None:
        self.check_clock.emit(self.port())

    @Slot()
    def _cancel(self) -> None:
        self.cancel_button.setEnabled(False)
        self.step.show_text(STOPPING)
        self.cancel.emit()

    def show_begun(self) -> None:
        """Show that a test has begun."""
        self._end("", "")
        self._busy = True
        self.cancel_button.setEnabled(True)
        self.step.show_text("")
        self.bar.setRange(0, 0)
        self._show_buttons()

    @Slot(object)
    def show_leads_progress(self, progress: SelfTestProgress) -> None:
        """Show where the wire belongs, or how far a lead is, and what was found so far."""
        self._show_step(self_test_text(progress), *share_done(progress))
        self._found("", "\n".join(lead_test_text(lead) for lead in progress.tested))

    @Slot(object)
    def show_clock_progress(self, progress: ClockProgress) -> None:
        """Show how long the clock was listened to."""
        self._show_step(clock_progress_text(progress), round(progress.elapsed_s), round(progress.total_s))

    def _show_step(self, text: str, done: int, total: int) -> None:
        if self.cancel_button.isEnabled():
            self.step.show_text(text)
        self.bar.setRange(0, total)
        self.bar.setValue(min(done, total))

    @Slot(object)
    def show_leads(self, test: SelfTest) -> None:
        """Show what was found of the leads, a line each, and what becomes of it."""
        self._end(LEADS_DONE, "\n".join(self_test_texts(test)))

    @Slot(object)
    def show_clock(self, check: ClockCheck) -> None:
        """Show what was found of the clock."""
        self._end(CLOCK_DONE, "\n".join(clock_texts(check)))

    @Slot(object)
    def show_trouble(self, message: Message) -> None:
        """Say what went wrong and what to do; then it can be tried again."""
        self._end(message.title, trouble_lines(message))

    def say(self, sentence: str) -> None:
        """Say why nothing was begun."""
        self._end(TITLE, sentence)

    def _end(self, title: str, words: str) -> None:
        self._busy = False
        self._show_buttons()
        self._found(title, words)

    def _found(self, title: str, words: str) -> None:
        for label, text in ((self.result_title, title), (self.result, words)):
            label.show_text(text)
            label.setVisible(bool(text))
