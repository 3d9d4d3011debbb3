"""A page that works on a port: which one, the question where one is due, how far it is, what came of it."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QProgressBar, QPushButton, QVBoxLayout

from benchapp.presentation.ground.messages import Message
from benchapp.presentation.screens.port_page_words import PortPageWords, port_words, trouble_lines
from benchapp.ui.link.desk_calls import Port
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.choice_box import ChoiceBox
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.page import PageFrame, card
from benchapp.ui.widgets.tick_box import TickBox
from benchapp.ui.widgets.wrap_row import WrapRow


class PortPage(PageFrame):
    """A page that works on a serial port; on one that was never seen nothing can be begun before somebody agreed.

    The button that stops is never the main one. Whoever derives puts what begins into the foot and names it in
    `begins`.
    """

    cancel = Signal()
    leave = Signal()

    def __init__(
        self, words: PortPageWords, list_ports: Callable[[], Sequence[Port]], is_seen: Callable[[str], bool]
    ) -> None:
        super().__init__(words.title, words.sentence)
        self._words, self._list_ports, self._is_seen = words, list_ports, is_seen
        self._busy = False
        self.begins: tuple[QPushButton, ...] = ()
        self.port_choice = ChoiceBox()
        self.port_choice.setAccessibleName(words.port)
        self.port_choice.currentIndexChanged.connect(self._port_chosen)
        self.look_again = button("Look again", Kind.QUIET, name="Look for ports again")
        self.look_again.clicked.connect(self.show_ports)
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
        self.clear_result()
        self.show_ports()
        index = self.port_choice.findData(port)
        if index >= 0:
            self.port_choice.setCurrentIndex(index)

    @Slot()
    def show_ports(self) -> None:
        """List the ports there are now."""
        before = self.port()
        self.port_choice.clear()
        found = self._list_ports()
        for port in found:
            self.port_choice.addItem(port_words(port.name, port.words), port.name)
        known = next((port.name for port in found if port.seen), "")
        there = self.port_choice.findData(before)
        self.port_choice.setCurrentIndex(there if there >= 0 else max(self.port_choice.findData(known), 0))
        self._port_chosen()

    @Slot()
    def _port_chosen(self) -> None:
        port = self.port()
        ask = bool(port) and not self._is_seen(port)
        self.question.show_text(self._words.ask(port) if ask else self._words.no_port)
        self.question.setVisible(ask or not port)
        self.agreed.setChecked(False)
        self.agreed.setVisible(ask)
        self.clear_result()

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
