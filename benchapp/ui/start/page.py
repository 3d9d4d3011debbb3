"""The first page: practise, connect a probe, or open a session."""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from benchapp.ui.start.picture import DelayPicture
from benchapp.ui.start.recent_list import RecentList
from benchapp.ui.theme import Theme
from benchapp.ui.tokens import Space, Type
from benchapp.ui.widgets.buttons import BenchButton, Kind, button
from benchapp.ui.widgets.choice_box import ChoiceBox
from benchapp.ui.widgets.labels import PathLabel, PlainLabel
from benchapp.ui.widgets.one_of import OneOf
from benchapp.ui.widgets.page import PageFrame, card

RADIOS = (
    ("alder", "Alder", "Its link is built in; quick."),
    ("birch", "Birch", "A module fed by a pulse train; slow frame."),
    ("cedar", "Cedar", "In between, and in step with nothing."),
)


class StartPage(PageFrame):
    """Three ways to begin, and where things are kept."""

    practise = Signal(str)
    connect_port = Signal(str)
    open_session = Signal()
    carry_on = Signal(object)
    help_wanted = Signal(str)
    change_folder = Signal()
    look_chosen = Signal(str)

    def __init__(self, theme: Theme, *, radio: str, list_ports: Callable[[], list[str]]) -> None:
        super().__init__(
            "How long from thumb to horn?",
            "Clip two leads on, flip a switch sixty times, and read how long the radio takes, with its give or take.",
        )
        self._list_ports = list_ports
        picture_card = card()
        inside = QVBoxLayout(picture_card)
        inside.setContentsMargins(Space.WIDE, Space.LARGE, Space.WIDE, Space.LARGE)
        inside.addWidget(DelayPicture(theme))
        self.task.addWidget(picture_card, 1)
        ways = QGridLayout()
        ways.setSpacing(Space.LARGE)
        for column, way in enumerate((self._practice_card(radio), self._probe_card(), self._session_card())):
            ways.addWidget(way, 0, column)
            ways.setColumnStretch(column, 1)
        self.task.addSpacing(Space.HAIR)
        self.task.addLayout(ways)
        self._build_foot()
        self.note = PlainLabel("", Type.LEAD, wrap=True)
        self.note.hide()
        self.task.insertWidget(0, self.note)

    def main_button(self) -> QPushButton | None:
        """Return the button that opens the practice bench."""
        return self.practise_button

    def _practice_card(self, radio: str) -> QWidget:
        frame, column = _way("Try without a probe", "A practice bench: simulated, and nothing can move.")
        self.radio_buttons: dict[str, BenchButton] = {}
        row = QHBoxLayout()
        row.setSpacing(Space.HAIR)
        for key, name, _ in RADIOS:
            made = button(name, name=f"Practice radio {name}")
            self.radio_buttons[key] = made
            row.addWidget(made, 1)
        self._radios = OneOf(list(self.radio_buttons.values()), self)
        self._radios.choose(list(self.radio_buttons).index(radio) if radio in self.radio_buttons else 0)
        self._radios.chosen.connect(self._say_radio)
        self.radio_sentence = PlainLabel("", Type.BODY, soft=True, wrap=True)
        self.practise_button = button("Open the practice bench", Kind.MAIN)
        self.practise_button.clicked.connect(self._practise)
        column.addLayout(row)
        column.addWidget(self.radio_sentence)
        column.addStretch(1)
        column.addWidget(self.practise_button)
        self._say_radio()
        return frame

    def _probe_card(self) -> QWidget:
        frame, column = _way("Use a probe", "Plug it in, choose its port, connect.")
        self.port_choice = ChoiceBox()
        self.port_choice.setEditable(True)
        self.port_choice.setInsertPolicy(ChoiceBox.InsertPolicy.NoInsert)
        self.port_choice.setAccessibleName("Port of the probe")
        editor = self.port_choice.lineEdit()
        if editor is not None:
            editor.setPlaceholderText("Port")
        self.look_again = button("Look again", Kind.QUIET, name="Look for ports again")
        self.look_again.clicked.connect(self.show_ports)
        self.connect_button = button("Connect")
        self.connect_button.clicked.connect(self._connect)
        row = QHBoxLayout()
        row.setSpacing(Space.HAIR)
        row.addWidget(self.port_choice, 1)
        row.addWidget(self.look_again)
        self.port_sentence = PlainLabel("", Type.BODY, soft=True, wrap=True)
        self.build_button = button("I want to build the probe", Kind.QUIET)
        self.build_button.clicked.connect(self._ask_building)
        column.addLayout(row)
        column.addWidget(self.port_sentence)
        column.addStretch(1)
        column.addWidget(self.build_button)
        column.addWidget(self.connect_button)
        return frame

    def _session_card(self) -> QWidget:
        frame, column = _way("Look at a session", "Or at a capture of any instrument, as VCD or CSV. Drop a file here.")
        self.recent = RecentList()
        self.recent.chosen.connect(self.carry_on)
        self.recent.hide()
        self.open_button = button("Open…", name="Open a session or a capture")
        self.open_button.clicked.connect(self.open_session)
        self.carry_on_button = button("Carry on", name="Open the newest session again")
        self.carry_on_button.clicked.connect(self._carry_on)
        self.carry_on_button.setEnabled(False)
        column.addWidget(self.recent)
        column.addStretch(1)
        column.addWidget(self.carry_on_button)
        column.addWidget(self.open_button)
        return frame

    def _build_foot(self) -> None:
        self.folder = PathLabel("Sessions are kept in", Type.CAPTION, soft=True)
        change = button("Change…", Kind.QUIET, name="Change where sessions are kept")
        change.clicked.connect(self.change_folder)
        self.look = ChoiceBox()
        self.look.setAccessibleName("Look of the window")
        for key, words in (("system", "Look: as the system"), ("light", "Look: light"), ("dark", "Look: dark")):
            self.look.addItem(words, key)
        self.look.activated.connect(self._choose_look)
        self.foot.addWidget(self.folder, 1)
        self.foot.addWidget(change)
        self.foot.addSpacing(Space.WIDE)
        self.foot.addWidget(self.look)

    def show_folder(self, folder: str) -> None:
        """Say where sessions are kept."""
        self.folder.show_path(folder)

    def show_recent(self, paths: Sequence[Path], reasons: Mapping[Path, str]) -> None:
        """Show the sessions open lately, and why some cannot be read."""
        self.recent.show_sessions(paths, reasons)
        self.carry_on_button.setEnabled(self.recent.readable() is not None)

    @Slot()
    def _ask_building(self) -> None:
        self.help_wanted.emit("build-a-probe")

    @Slot()
    def _carry_on(self) -> None:
        newest = self.recent.readable()
        if newest is not None:
            self.carry_on.emit(newest)

    def show_look(self, look: str) -> None:
        """Show which look is chosen."""
        self.look.setCurrentIndex(max(0, self.look.findData(look)))

    def show_opening(self, words: str) -> None:
        """Say that a bench is being opened; "" when it no longer is."""
        self.note.setVisible(bool(words))
        self.note.show_text(words)
        for made in (self.practise_button, self.connect_button, self.open_button):
            made.setEnabled(not words)

    @Slot()
    def show_ports(self) -> None:
        """List the ports there are now."""
        typed = self.port_choice.currentText()
        names = self._list_ports()
        self.port_choice.clear()
        self.port_choice.addItems(names)
        self.port_choice.setCurrentText(typed or (names[0] if names else ""))
        self.port_sentence.show_text("" if names else "No port is there yet. Plug the probe in and look again.")

    @Slot()
    def _say_radio(self) -> None:
        self.radio_sentence.show_text(RADIOS[self._radios.index()][2])

    def chosen_radio(self) -> str:
        """Return the key of the practice radio that is chosen."""
        return RADIOS[self._radios.index()][0]

    @Slot()
    def _practise(self) -> None:
        self.practise.emit(self.chosen_radio())

    @Slot()
    def _connect(self) -> None:
        port = self.port_choice.currentText().strip()
        if port:
            self.connect_port.emit(port)
        else:
            self.port_sentence.show_text("Choose a port first.")

    @Slot(int)
    def _choose_look(self, index: int) -> None:
        self.look_chosen.emit(self.look.itemData(index))


def _way(title: str, sentence: str) -> tuple[QWidget, QVBoxLayout]:
    frame = card()
    column = QVBoxLayout(frame)
    column.setContentsMargins(Space.LARGE, Space.LARGE, Space.LARGE, Space.LARGE)
    column.setSpacing(Space.MEDIUM)
    column.addWidget(PlainLabel(title, Type.HEADING, bold=True, wrap=True))
    column.addWidget(PlainLabel(sentence, Type.BODY, soft=True, wrap=True))
    return frame, column
