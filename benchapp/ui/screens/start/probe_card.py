"""The way in with a probe: its port, or how to build one."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QWidget

from benchapp.presentation.screens.port_page_words import port_words
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.screens.start.ways import WayCard
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.choice_box import ChoiceBox
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.wrap_row import WrapRow

if TYPE_CHECKING:
    from benchapp.desk.ports import Port

_BUILDING = "build-a-probe"
NO_PORT = "No port yet. Plug the probe in."
OTHER_PORTS = "Other ports…"
"""Stands for the ports without a USB identity, which no probe has: they are listed once it is chosen."""


class ProbeCard(WayCard):
    """Lets a serial port be chosen, and tells which one is to be connected."""

    connect_port = Signal(str)
    help_wanted = Signal(str)
    look_for_ports = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("New session", "Plug the probe in, choose its port, connect.", parent)
        self.port_choice = ChoiceBox()
        self.port_choice.setEditable(True)
        self.port_choice.setInsertPolicy(ChoiceBox.InsertPolicy.NoInsert)
        self.port_choice.setAccessibleName("Port of the probe")
        self._words: dict[str, str] = {}
        self._proposed = ""
        self._chosen = False
        self._unfolded = False
        self._every: Sequence[Port] = ()
        self.known = False
        self.port_choice.activated.connect(self._choose)
        self.port_choice.currentTextChanged.connect(self._port_chosen)
        editor = self.port_choice.lineEdit()
        if editor is not None:
            editor.setPlaceholderText("Port")
        self.look_again = button("Look again", Kind.QUIET, name="Look for ports again")
        self.look_again.clicked.connect(self.look_for_ports)
        self.connect_button = button("Connect")
        self.connect_button.clicked.connect(self._connect)
        row = WrapRow(spacing=Space.HAIR)
        row.addWidget(self.port_choice, 1)
        row.addWidget(self.look_again)
        self.sentence = PlainLabel("", Type.BODY, soft=True, wrap=True)
        self.build_button = button("I want to build one", Kind.QUIET, name="I want to build the probe")
        self.build_button.clicked.connect(self._ask_building)
        self.column.addLayout(row)
        self.column.addWidget(self.sentence)
        self.column.addStretch(1)
        foot = WrapRow()
        foot.addWidget(self.build_button)
        foot.addWidget(self.connect_button, 1)
        self.column.addLayout(foot)

    @Slot(object)
    def show_ports(self, every: "Sequence[Port]") -> None:
        """List the ports there are now; what was typed or chosen stays, else a port known as a probe is proposed.

        Ports without a USB identity fold into one line, unless a probe was on them before.
        """
        self._every = every
        typed = self.port_choice.currentText()
        found = [port for port in every if port.identified or port.seen or self._unfolded]
        names = [port.name for port in found]
        self.known = any(port.seen for port in found)
        if not typed or (typed == self._proposed and not self._chosen):
            typed = self._proposed = _likeliest(found)
            self._chosen = False
        self._words = {port.name: port_words(port.name, port.words) for port in every if port.words}
        self.port_choice.clear()
        self.port_choice.addItems([*names, *([OTHER_PORTS] if len(found) < len(every) else [])])
        self.port_choice.setCurrentText(typed)
        self._say(NO_PORT if not names else self._words.get(self.port_choice.currentText(), ""))

    @Slot(str)
    def _port_chosen(self, port: str) -> None:
        self._say(self._words.get(port.strip(), ""))

    @Slot(int)
    def _choose(self, index: int) -> None:
        if self.port_choice.itemText(index) == OTHER_PORTS:
            self._unfolded = True
            self.port_choice.setEditText("")
            self.show_ports(self._every)
            self.port_choice.showPopup()
            return
        self._chosen = True

    def _say(self, words: str) -> None:
        self.sentence.show_text(words)

    @Slot()
    def _ask_building(self) -> None:
        self.help_wanted.emit(_BUILDING)

    @Slot()
    def _connect(self) -> None:
        port = self.port_choice.currentText().strip()
        if port:
            self.connect_port.emit(port)
        else:
            self.sentence.show_text("Choose a port first.")


def _likeliest(ports: "Sequence[Port]") -> str:
    """Return the port a probe is most likely on: one it was seen on, else the first; "" where there is none."""
    return next((port.name for port in (*filter(lambda port: port.seen, ports), *ports)), "")
