"""The first page: practise, connect a probe, or open a session."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QPushButton, QVBoxLayout

from benchapp.ui.kept.recents import Recent
from benchapp.ui.look.theme import Theme
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.screens.start.ask_card import AskCard
from benchapp.ui.screens.start.permission_card import PermissionCard
from benchapp.ui.screens.start.picture import DelayPicture
from benchapp.ui.screens.start.practice_card import PracticeCard
from benchapp.ui.screens.start.probe_card import ProbeCard
from benchapp.ui.screens.start.recent_card import RecentCard
from benchapp.ui.screens.start.trash_card import TrashCard
from benchapp.ui.screens.start.ways import WayCard
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.labels import PathLabel, PlainLabel
from benchapp.ui.widgets.page import PageFrame, card
from benchapp.ui.widgets.wrap_row import FILL, WrapRow

if TYPE_CHECKING:
    from benchapp.desk.port_permission import PermissionHelp
    from benchapp.desk.ports import Port
    from benchapp.desk.trash import Discarded


class StartPage(PageFrame):
    """Ways to begin, and where things are kept; the drawing gives way to the recent sessions once there are some."""

    practise = Signal(str)
    connect_port = Signal(str)
    look_for_ports = Signal()
    open_session = Signal()
    carry_on = Signal(object)
    delete_session = Signal(object)
    restore_session = Signal(object)
    help_wanted = Signal(str)
    change_folder = Signal()

    def __init__(self, theme: Theme, *, radio: str) -> None:
        super().__init__(
            "How long from thumb to horn?",
            "Clip two leads on, flip a switch sixty times, and read how long the radio takes, with its give or take.",
        )
        self._emptied = False
        self.note = PlainLabel("", Type.LEAD, wrap=True)
        self.note.hide()
        self.picture = card()
        inside = QVBoxLayout(self.picture)
        inside.setContentsMargins(Space.WIDE, Space.LARGE, Space.WIDE, Space.LARGE)
        inside.addWidget(DelayPicture(theme))
        self.recent_card = RecentCard()
        self.recent_card.hide()
        self.recent = self.recent_card.list
        self.trash_card = TrashCard()
        self.trash_card.hide()
        self.trash_card.restore.connect(self.restore_session)
        self.trash_card.leave.connect(self._leave_trash)
        self.ask_card = AskCard()
        self.ask_card.hide()
        self.permission = PermissionCard()
        self.permission.hide()
        self.permission.left.connect(self.permission.hide)
        ways = WrapRow(spacing=Space.LARGE, line_spacing=Space.LARGE, even=True)
        for way in (self._practice_way(radio), self._probe_way(), self._session_way()):
            ways.addWidget(way, 1, alignment=FILL)
        self.task.addWidget(self.note)
        self.task.addWidget(self.ask_card)
        self.task.addWidget(self.permission)
        self.task.addWidget(self.picture, 1)
        self.task.addWidget(self.recent_card, 1)
        self.task.addWidget(self.trash_card, 1)
        self.task.addSpacing(Space.HAIR)
        self.task.addLayout(ways)
        self.recent_card.open_session.connect(self.carry_on)
        self.recent_card.delete_session.connect(self.delete_session)
        self._build_foot()

    def main_button(self) -> QPushButton | None:
        """Return what Enter presses: Connect where a known probe is plugged in, else the practice bench."""
        return self.connect_button if self.probe_card.known else self.practise_button

    def _practice_way(self, radio: str) -> WayCard:
        made = PracticeCard(radio)
        made.practise.connect(self.practise)
        self.practise_button, self.radio_buttons = made.practise_button, made.radio_buttons
        return made

    def _probe_way(self) -> WayCard:
        made = ProbeCard()
        made.connect_port.connect(self.connect_port)
        made.help_wanted.connect(self.help_wanted)
        made.look_for_ports.connect(self.look_for_ports)
        self.connect_button, self.port_choice, self.port_sentence = made.connect_button, made.port_choice, made.sentence
        self.build_button = made.build_button
        self.probe_card = made
        return made

    def _session_way(self) -> WayCard:
        made = WayCard("Look at a session", "Or at a capture of any instrument, as VCD or CSV. Drop a file here.")
        self.open_button = button("Open…", name="Open a session or a capture")
        self.open_button.clicked.connect(self.open_session)
        self.carry_on_button = button("Carry on", name="Open the newest session again")
        self.carry_on_button.clicked.connect(self._carry_on)
        self.carry_on_button.setEnabled(False)
        made.column.addStretch(1)
        row = WrapRow(even=True)
        row.addWidget(self.carry_on_button, 1)
        row.addWidget(self.open_button, 1)
        made.column.addLayout(row)
        return made

    def _build_foot(self) -> None:
        self.folder = PathLabel("Sessions are kept in", Type.CAPTION, soft=True)
        change = button("Change…", Kind.QUIET, name="Change where sessions are kept")
        change.clicked.connect(self.change_folder)
        self.trash_button = button("Deleted sessions…", Kind.QUIET, name="Deleted sessions that can be taken back")
        self.trash_button.clicked.connect(self._show_trash)
        self.trash_button.hide()
        self.foot.addWidget(self.folder, 1)
        self.foot.addWidget(self.trash_button)
        self.foot.addWidget(change)

    def show_folder(self, folder: str) -> None:
        """Say where sessions are kept."""
        self.folder.show_path(folder)

    def show_recent(self, sessions: Sequence[tuple[Recent, str]], *, emptied: bool = False) -> None:
        """Show the sessions open lately, each with why it cannot be read, "" where it can.

        emptied : there is none, but there was one once: the list says that it is empty, and the drawing stays away
        """
        self._emptied = emptied
        self.recent_card.show_sessions(sessions)
        self._arrange_upper()
        self.carry_on_button.setEnabled(self.recent.readable() is not None)

    def show_trash(self, found: "Sequence[Discarded]") -> None:
        """Take what lies in the trash; where there is something, the foot offers to show it."""
        self.trash_card.show_discarded(found)
        self.recent_card.show_trash(some=not self.trash_card.empty)
        self.trash_button.setVisible(not self.trash_card.empty)
        if self.trash_card.empty and not self.trash_card.isHidden():
            self._leave_trash()

    @Slot()
    def _show_trash(self) -> None:
        self.trash_card.show()
        self._arrange_upper()
        self.trash_card.list.setFocus()
        self.scroller.verticalScrollBar().setValue(0)

    @Slot()
    def _leave_trash(self) -> None:
        self.trash_card.hide()
        self._arrange_upper()
        (self.recent if self.recent.count() else self.practise_button).setFocus()

    def _arrange_upper(self) -> None:
        """Show the deleted sessions while they are asked for, else the list, else, as at first, the drawing."""
        trash, recent = not self.trash_card.isHidden(), self.recent.count() > 0 or self._emptied
        self.recent_card.setVisible(recent and not trash)
        for part in (self.picture, self.sentence):
            part.setVisible(not recent and not trash)

    @Slot()
    def _carry_on(self) -> None:
        newest = self.recent.readable()
        if newest is not None:
            self.carry_on.emit(newest)

    @Slot(object)
    def show_permission(self, offered: "PermissionHelp") -> None:
        """Show what can be done about a port that may not be opened."""
        self.permission.show_help(offered)
        self.permission.show()
        self.scroller.verticalScrollBar().setValue(0)

    def ask_to_open(self, port: str) -> None:
        """Ask before a port is opened on which no probe was seen."""
        self.ask_card.ask(port)
        self.scroller.verticalScrollBar().setValue(0)

    def show_opening(self, words: str) -> None:
        """Say that a bench is being opened; "" when it no longer is."""
        self.note.setVisible(bool(words))
        if words:
            self.permission.hide()
            self.ask_card.hide()
        self.note.show_text(words)
        for made in (self.practise_button, self.connect_button, self.open_button):
            made.setEnabled(not words)

    @Slot(object)
    def show_ports(self, found: "Sequence[Port]") -> None:
        """List the ports there are now; the keyboard goes along where a known probe came or went."""
        before = self.main_button()
        self.probe_card.show_ports(found)
        after = self.main_button()
        for made in (self.practise_button, self.connect_button):
            made.set_kind(Kind.MAIN if made is after else Kind.PLAIN)
        if after is not before and before is not None and after is not None and before.hasFocus():
            after.setFocus()
