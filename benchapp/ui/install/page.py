"""The page that puts the probe program on a board: its port, how far it is, what came of it."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QProgressBar, QPushButton, QVBoxLayout

from benchapp.presentation.install_words import (
    AGREED,
    NEXT,
    NO_PORT,
    SENTENCE,
    STOPPING,
    TITLE,
    percent_done,
    port_words,
    trouble_lines,
)
from benchapp.presentation.messages import Message
from benchapp.presentation.probe_words import ask_before_installing, install_text, installed_text
from benchapp.records.probe_install import Installed, InstallProgress
from benchapp.ui.desk_calls import Port
from benchapp.ui.tokens import Space, Type
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.choice_box import ChoiceBox
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.page import PageFrame, card
from benchapp.ui.widgets.tick_box import TickBox
from benchapp.ui.widgets.wrap_row import WrapRow


class InstallPage(PageFrame):
    """Asks before the board on a port that was never seen is reset; Cancel stops between two pages of its memory."""

    install = Signal(str)
    cancel = Signal()
    connect_port = Signal(str)
    leave = Signal()

    def __init__(self, list_ports: Callable[[], Sequence[Port]], is_seen: Callable[[str], bool]) -> None:
        super().__init__(TITLE, SENTENCE)
        self._list_ports, self._is_seen = list_ports, is_seen
        self._busy = False
        self.port_choice = ChoiceBox()
        self.port_choice.setAccessibleName("Port of the board")
        self.port_choice.currentIndexChanged.connect(self._port_chosen)
        self.look_again = button("Look again", Kind.QUIET, name="Look for ports again")
        self.look_again.clicked.connect(self.show_ports)
        self.question = PlainLabel("", Type.BODY, wrap=True)
        self.agreed = TickBox(AGREED)
        self.agreed.clicked.connect(self._show_buttons)
        self.result_title = PlainLabel("", Type.HEADING, bold=True, wrap=True)
        self.result = PlainLabel("", Type.BODY, wrap=True)
        self.step = PlainLabel("", Type.LEAD, wrap=True)
        self.bar = QProgressBar()
        self.bar.setRange(0, 100)
        self.bar.setTextVisible(False)
        self.bar.setAccessibleName("How far the installing is")
        self._arrange()
        for part in (self.result_title, self.result, self.step, self.bar):
            part.hide()

    def _arrange(self) -> None:
        frame = card()
        column = QVBoxLayout(frame)
        column.setContentsMargins(Space.LARGE, Space.LARGE, Space.LARGE, Space.LARGE)
        column.setSpacing(Space.MEDIUM)
        row = WrapRow(spacing=Space.HAIR)
        row.addWidget(self.port_choice, 1)
        row.addWidget(self.look_again)
        column.addLayout(row)
        for part in (self.question, self.agreed, self.step, self.bar, self.result_title, self.result):
            column.addWidget(part)
        self.task.addWidget(frame)
        self.task.addStretch(1)
        self.leave_button = button("Back", name="Back to the page before")
        self.leave_button.clicked.connect(self.leave)
        self.cancel_button = button("Cancel", name="Cancel the installing")
        self.cancel_button.clicked.connect(self._cancel)
        self.connect_button = button("Connect", Kind.MAIN, name="Connect the probe")
        self.connect_button.clicked.connect(self._connect)
        self.install_button = button("Install", Kind.MAIN)
        self.install_button.clicked.connect(self._install)
        self.foot.addWidget(self.leave_button)
        self.foot.addWidget(self.cancel_button)
        self.foot.addStretch(1)
        self.foot.addWidget(self.install_button)
        self.foot.addWidget(self.connect_button)
        self.cancel_button.hide()
        self.connect_button.hide()

    def main_button(self) -> QPushButton | None:
        """Return the button that carries on: Cancel is never pressed by Enter alone."""
        return self.install_button if self.connect_button.isHidden() else self.connect_button

    def port(self) -> str:
        """Return the port that is chosen, "" where there is none."""
        return str(self.port_choice.currentData() or "")

    def begin_at(self, port: str) -> None:
        """Show the page anew, with a port chosen if it is there; while a board is being written it stays as it is."""
        if self._busy:
            return
        self._clear_result()
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
        self.question.show_text(ask_before_installing(port) if ask else NO_PORT)
        self.question.setVisible(ask or not port)
        self.agreed.setChecked(False)
        self.agreed.setVisible(ask)
        self._clear_result()

    def _clear_result(self) -> None:
        for part in (self.result_title, self.result):
            part.hide()
        self.connect_button.hide()
        self.install_button.setText("Install")
        self.install_button.show()
        self._show_buttons()

    @Slot()
    def _show_buttons(self) -> None:
        agreed = self.agreed.isHidden() or self.agreed.isChecked()
        self.install_button.setEnabled(bool(self.port()) and agreed and not self._busy)
        for part in (self.port_choice, self.look_again, self.agreed, self.leave_button):
            part.setEnabled(not self._busy)
        for shown in (self.step, self.bar, self.cancel_button):
            shown.setVisible(self._busy)

    @Slot()
    def _install(self) -> None:
        self.install.emit(self.port())

    @Slot()
    def _connect(self) -> None:
        self.connect_port.emit(self.port())

    @Slot()
    def _cancel(self) -> None:
        self.cancel_button.setEnabled(False)
        self.step.show_text(STOPPING)
        self.cancel.emit()

    def show_begun(self) -> None:
        """Show that the installing has begun."""
        self._busy = True
        self._clear_result()
        self.cancel_button.setEnabled(True)
        self.step.show_text("")
        self.bar.setValue(0)

    @Slot(object)
    def show_progress(self, progress: InstallProgress) -> None:
        """Show how far it is."""
        if self.cancel_button.isEnabled():
            self.step.show_text(install_text(progress))
        self.bar.setValue(percent_done(progress))

    @Slot(object)
    def show_installed(self, installed: Installed) -> None:
        """Greet the new program and offer to connect it."""
        self._end("The probe program is installed", f"{installed_text(installed)}\n{NEXT}")
        for part in (self.install_button, self.question, self.agreed):
            part.hide()
        self.connect_button.show()
        self.connect_button.setFocus()

    @Slot(object)
    def show_trouble(self, message: Message) -> None:
        """Say what went wrong, how the board is, and what to do; then it can be tried again."""
        self._end(message.title, trouble_lines(message))
        self.install_button.setText("Try again")
        self.install_button.setFocus()

    def say(self, sentence: str) -> None:
        """Say why nothing was begun."""
        self._end(TITLE, sentence)

    def _end(self, title: str, words: str) -> None:
        self._busy = False
        self._show_buttons()
        self.result_title.show_text(title)
        self.result.show_text(words)
        self.result_title.show()
        self.result.show()
