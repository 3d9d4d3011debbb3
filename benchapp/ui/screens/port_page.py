"""A page that works on a port: which one, the question where one is due, how far it is, what came of it."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QProgressBar, QPushButton, QVBoxLayout

from benchapp.presentation.ground.messages import Message
from benchapp.presentation.screens.port_page_words import PortPageWords, port_words, trouble_lines
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.choice_box import ChoiceBox
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.page import PageFrame, card
from benchapp.ui.widgets.tick_box import TickBox
from benchapp.ui.widgets.wrap_row import WrapRow

if TYPE_CHECKING:
    from benchapp.desk.ports import Port


class PortPage(PageFrame):
    """A page that works on a serial port; on one that was never seen nothing can be begun before somebody agreed.

    The button that stops is never the main one. Whoever derives puts what begins into the foot and names it in
    `begins`.
    """

    cancel = Signal()
    leave = Signal()
    look_for_ports = Signal()

    def __init__(self, words: PortPageWords) -> None:
        super().__init__(words.title, words.sentence)
        self._words = words
        self._seen: frozenset[str] = frozenset()
        self._wanted: str | None = None
        self._busy = False
        self.begins: tuple[QPushButton, ...] = ()
        self.port_choice = ChoiceBox()
        self.port_choice.setAccessibleName(words.port)
        self.port_choice.currentIndexChanged.connect(self._port_chosen)
        self.look_again = button("Look again", Kind.QUIET, name="Look for ports again")
        self.look_again.clicked.connect(self.look_for_ports)
        self.question = PlainLabel("", Type.BODY, wrap=True)
        self.agreed = TickBox(words.agreed)
        self.agreed.clicked.connect(self._show_buttons)
        self.step = PlainLabel("", Type.HEADING, wrap=True)
        self.bar = QProgressBar()
        self.bar.setTextVisible(False)
        self.bar.setAccessibleName(words.bar)
        self.result_title = PlainLabel("", Type.HEADING, bold=True, wrap=True)
        self.result = PlainLabel("", Type.BODY, wrap=True)
        self.leave_button = button("Back", name="Back to the page before")
        self.leave_button.clicked.connect(self.leave)
        self.cancel_button = button(words.stop, name=words.stop_name)
        self.cancel_button.clicked.connect(self._cancel)
        self._arrange()
        for part in (self.step, self.bar, self.cancel_button, self.result_title, self.result):
            part.hide()

    def _arrange(self) -> None:
        frame = card()
        self.column = QVBoxLayout(frame)
        self.column.setContentsMargins(Space.LARGE, Space.LARGE, Space.LARGE, Space.LARGE)
        self.column.setSpacing(Space.MEDIUM)
        row = WrapRow(spacing=Space.HAIR)
        row.addWidget(self.port_choice, 1)
        row.addWidget(self.look_again)
        self.column.addLayout(row)
        for part in (self.question, self.agreed, self.step, self.bar, self.result_title, self.result):
            self.column.addWidget(part)
        self.task.addWidget(frame)
        self.task.addStretch(1)
        self.foot.addWidget(self.leave_button)
        self.foot.addWidget(self.cancel_button)
        self.foot.addStretch(1)

    def port(self) -> str:
        """Return the port that is chosen, "" where there is none."""
        return str(self.port_choice.currentData() or "")

    def begin_at(self, port: str) -> None:
        """Show the page anew, with a port chosen if it is there; while work goes on it stays as it is."""
        if self._busy:
            return
        self._port_chosen()
        self._wanted = port
        self.look_for_ports.emit()

    @Slot(object)
    def show_ports(self, found: "Sequence[Port]") -> None:
        """List the ports there are now; the one that was asked for is chosen, else the one from before, else a probe's.

        While work goes on the list stays as it is.
        """
        if self._busy:
            return
        before = self.port()
        wanted = [self._wanted or "", before, *(port.name for port in found if port.seen)]
        self._seen = frozenset(port.name for port in found if port.seen)
        self.port_choice.blockSignals(True)
        self.port_choice.clear()
        for port in found:
            self.port_choice.addItem(port_words(port.name, port.words), port.name)
        places = [self.port_choice.findData(name) for name in wanted]
        self.port_choice.setCurrentIndex(next((place for place in places if place >= 0), 0))
        self.port_choice.blockSignals(False)
        if before and self.port() == before:
            self._show_question()
        else:
            self._port_chosen()
        if self._wanted is not None and self.begins[0].isEnabled():
            self.begins[0].setFocus()  # the page was shown before its ports were known
        self._wanted = None

    @Slot()
    def _port_chosen(self) -> None:
        self.agreed.setChecked(False)
        self._show_question()
        self.clear_result()

    def _show_question(self) -> None:
        """Ask before a port on which no probe was seen is used."""
        port = self.port()
        ask = bool(port) and port not in self._seen
        self.question.show_text(self._words.ask(port) if ask else self._words.no_port)
        self.question.setVisible(ask or not port)
        self.agreed.setVisible(ask)
        self._show_buttons()

    def clear_result(self) -> None:
        """Show no result any more."""
        self._tell("", "")
        self._show_buttons()

    @Slot()
    def _show_buttons(self) -> None:
        agreed = self.agreed.isHidden() or self.agreed.isChecked()
        for made in self.begins:
            made.setEnabled(bool(self.port()) and agreed and not self._busy)
        for part in (self.port_choice, self.look_again, self.agreed, self.leave_button):
            part.setEnabled(not self._busy)
        for shown in (self.step, self.bar, self.cancel_button):
            shown.setVisible(self._busy)

    @Slot()
    def _cancel(self) -> None:
        self.cancel_button.setEnabled(False)
        self.step.show_text(self._words.stopping)
        self.cancel.emit()

    def show_begun(self) -> None:
        """Show that the work has begun."""
        self._busy = True
        self.clear_result()
        self.cancel_button.setEnabled(True)
        self.show_step("", 0, 0)

    def show_step(self, text: str, done: int, total: int) -> None:
        """Show how far it is; total 0 where nothing is counted."""
        if self.cancel_button.isEnabled():
            self.step.show_text(text)
        self.bar.setRange(0, total)
        self.bar.setValue(min(done, total))

    @Slot(object)
    def show_trouble(self, message: Message) -> None:
        """Say what went wrong, what was kept, and what to do; then it can be tried again."""
        self.show_result(message.title, trouble_lines(message))

    def say_run_goes_on(self) -> None:
        """Say that nothing was begun because a run goes on."""
        self.show_result(self._words.title, self._words.run_goes_on)

    def show_result(self, title: str, words: str) -> None:
        """Show that the work is over, and what came of it."""
        self._busy = False
        self._show_buttons()
        self._tell(title, words)

    def _tell(self, title: str, words: str) -> None:
        for label, text in ((self.result_title, title), (self.result, words)):
            label.show_text(text)
            label.setVisible(bool(text))
