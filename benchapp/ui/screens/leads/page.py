"""Leads: a live lane for each lead, with a sentence about what is seen."""

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QBoxLayout, QHBoxLayout, QPushButton, QStackedLayout, QVBoxLayout, QWidget

from benchapp.acquisition.status import Status
from benchapp.acquisition.wishes import ClipTo, PulseIs
from benchapp.presentation.ground.numbers import marked
from benchapp.presentation.live.last_flip import flip_words
from benchapp.presentation.live.lead_sentences import SWAPPED, look_swapped
from benchapp.presentation.screens.pick_up_words import CARRIED_OVER, CHOICES, NOT_ANSWERED, QUESTION
from benchapp.records.flip_seen import FlipSeen
from benchapp.records.run import PickUp, Polarity
from benchapp.ui.link.flip_held import held_flip
from benchapp.ui.link.workbench import Workbench
from benchapp.ui.look.theme import Theme, text_scale
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.screens.help.contents import wiring_page
from benchapp.ui.widgets.buttons import BenchButton, Kind, button
from benchapp.ui.widgets.choice_box import ChoiceBox
from benchapp.ui.widgets.empty import EmptyNote
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.lane_view import USUAL_WINDOW_S
from benchapp.ui.widgets.lanes import Lanes
from benchapp.ui.widgets.last_flip import LastFlip
from benchapp.ui.widgets.one_of import OneOf
from benchapp.ui.widgets.page import PageFrame, card
from benchapp.ui.widgets.wrap_row import WrapRow

_FLIP_LATER = "First confirm Make it safe: a servo moves with it."
_BESIDE_UP_TO = 1.25
"""Letters so many times as large as usual leave room for the last flip beside the lanes in a window of 1280 px."""
_KEY_MOVES = 0.25
_NONE = -1
WINDOWS_S = (0.2, USUAL_WINDOW_S, 10.0)


class LeadsPage(PageFrame):
    """Shows that the leads are right before anything is measured."""

    go_start = Signal()
    go_on = Signal()
    help_wanted = Signal(str)

    def __init__(self, theme: Theme, workbench: Workbench) -> None:
        super().__init__("Leads", "Flip the switch and watch: the switch lane steps, the servo pulses follow.")
        self._theme = theme
        self._workbench = workbench
        self._session = ""
        self.frozen_note = PlainLabel("Frozen. The recording goes on.", Type.BODY, bold=True)
        self.freeze_button = button("Freeze", name="Freeze the picture")
        self.freeze_button.setCheckable(True)
        self.freeze_button.setToolTip("F")
        self.freeze_button.clicked.connect(self.toggle_frozen)
        self.flip_button = button("Flip the switch", name="Flip the practice bench's switch")
        self.flip_button.clicked.connect(self.flip)
        self.stick_button = button("Move the stick", name="Move the practice bench's stick to its other end")
        self.stick_button.clicked.connect(self.move_stick)
        self.next_button = button("Next: Make it safe", Kind.MAIN)
        self.next_button.clicked.connect(self.go_on)
        self.lanes = Lanes(theme, workbench.live)
        self.lanes.clip_wanted.connect(self.clip)
        self.lanes.pulse_told.connect(self.say_pulse)
        self.lanes.wiring_wanted.connect(self.ask_wiring)
        self.lanes.view_changed.connect(self._show_frozen)
        self.last_flip = LastFlip(theme, narrow=True)
        self._held: FlipSeen | None = None
        self._build_head()
        self._build_body()
        self.flip_note = PlainLabel(_FLIP_LATER, Type.BODY, soft=True, wrap=True)
        self.foot.addWidget(self.flip_button)
        self.foot.addWidget(self.stick_button)
        self.foot.addWidget(self.flip_note, whole=True)
        self.foot.addStretch(1)
        self.foot.addWidget(self.next_button)
        self.single_keys: list[QShortcut] = []
        for key, slot in (
            (Qt.Key.Key_F, self.toggle_frozen),
            (Qt.Key.Key_Home, self.back_to_normal),
            (Qt.Key.Key_Plus, self.zoom_in),
            (Qt.Key.Key_Equal, self.zoom_in),
            (Qt.Key.Key_Minus, self.zoom_out),
            (Qt.Key.Key_Left, self.go_back_in_time),
            (Qt.Key.Key_Right, self.go_on_in_time),
        ):
            shortcut = QShortcut(QKeySequence(key), self)
            shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            shortcut.activated.connect(slot)
            self.single_keys.append(shortcut)
        workbench.opened.connect(self.show_bench)
        workbench.closed.connect(self.show_bench)
        workbench.status_changed.connect(self.show_status)
        workbench.frame.connect(self.draw)
        workbench.telling.connect(self.tell)
        self.show_bench()

    def main_button(self) -> QPushButton | None:
        """Return the button that goes on."""
        return self.next_button

    def _build_head(self) -> None:
        self.head.addWidget(self.frozen_note)
        self.window_buttons: dict[float, BenchButton] = {}
        for seconds in WINDOWS_S:
            made = button(f"{marked(f'{seconds:g}')} s", name=f"Show the last {seconds:g} seconds")
            self.window_buttons[seconds] = made
            self.head.addWidget(made)
        self._windows = OneOf(list(self.window_buttons.values()), self)
        self._windows.choose(WINDOWS_S.index(USUAL_WINDOW_S))
        self._windows.chosen.connect(self._choose_window)
        self.head.addSpacing(Space.SMALL)
        self.head.addWidget(self.freeze_button)

    def _build_body(self) -> None:
        frame = card()
        inside = QVBoxLayout(frame)
        inside.setContentsMargins(Space.LARGE, Space.MEDIUM, Space.LARGE, Space.SMALL)
        inside.addWidget(self.lanes)
        self.empty = EmptyNote(
            "No bench is open",
            "Open the practice bench or connect a probe; then every lead has its lane here.",
            "Go to Start",
        )
        self.empty.acted.connect(self.go_start)
        holder = QWidget()
        self._stack = QStackedLayout(holder)  # without a place yet, its first page would open a window of its own
        self._stack.addWidget(self.empty)
        self._stack.addWidget(frame)
        self.task.addWidget(self._question())
        self.task.addWidget(self._swap_hint())
        self._sides = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._sides.setSpacing(Space.MEDIUM)
        self._sides.addWidget(holder, 5)
        self._sides.addWidget(self.last_flip, 3)
        self.task.addLayout(self._sides, 1)
        self._theme.changed.connect(self._arrange)
        self._arrange()

    @Slot()
    def _arrange(self) -> None:
        """Put the last flip beside the lanes; where letters are large, below them."""
        beside = text_scale() <= _BESIDE_UP_TO
        way = QBoxLayout.Direction.LeftToRight if beside else QBoxLayout.Direction.TopToBottom
        self._sides.setDirection(way)

    def _question(self) -> QWidget:
        """Return the first question: is the transmitter open, or closed?"""
        self.question = QWidget()
        self.pick_up = ChoiceBox()
        self.pick_up.setAccessibleName(QUESTION)
        for kind, words in CHOICES:
            self.pick_up.addItem(words, kind)
        self.pick_up.setPlaceholderText(NOT_ANSWERED)
        self.pick_up.setCurrentIndex(-1)
        self.pick_up.activated.connect(self._choose_pick_up)
        self.carried_note = PlainLabel(CARRIED_OVER, Type.BODY, bold=True, wrap=True)
        self.carried_note.hide()
        row = WrapRow(spacing=Space.MEDIUM)
        row.addWidget(PlainLabel(QUESTION, Type.BODY, wrap=True), whole=True)
        row.addWidget(self.pick_up)
        row.addWidget(self.carried_note, 1)
        self.question.setLayout(row)
        self.question.hide()
        return self.question

    def _swap_hint(self) -> QWidget:
        self.swap_hint = card()
        row = QHBoxLayout(self.swap_hint)
        row.setContentsMargins(Space.LARGE, Space.SMALL, Space.LARGE, Space.SMALL)
        row.addWidget(PlainLabel(SWAPPED, Type.BODY, bold=True, wrap=True), 1)
        self.swap_button = button("Swap them here", name="Swap what the two leads are clipped to")
        self.swap_button.clicked.connect(self.swap)
        row.addWidget(self.swap_button)
        self.swap_hint.hide()
        return self.swap_hint

    @Slot()
    def show_bench(self) -> None:
        """Show the lanes of the bench that is open, or that there is none."""
        open_now = self._workbench.status is not None
        self._stack.setCurrentIndex(1 if open_now else 0)
        for part in (self.freeze_button, self.next_button, *self.window_buttons.values()):
            part.setVisible(open_now)
        self._allow_flip()
        self._held = None
        self.last_flip.show_flip(None, None)
        self.last_flip.setVisible(open_now)
        self.question.setVisible(open_now and not self._workbench.practising)
        self._workbench.choose_pick_up(self._pick_up())
        self._carry_over()
        self.swap_hint.hide()
        practising = self._workbench.practising  # its flips are the switch's own: the same picture twice
        self.lanes.show_live(self._workbench.live, drives=not practising)
        self.lanes.back_to_normal()
        self._show_frozen()

    @Slot(object)
    def show_status(self, status: Status) -> None:
        """Arrange the lanes under what each lead is clipped to."""
        if self._session and status.session != self._session:
            self._carry_over()
        self._session = status.session
        if not self.isVisible():
            return
        self._allow_flip()
        self.lanes.show_roles(dict(status.roles))
        self.lanes.show_polarity(dict(status.polarity))
        self._hold(status)

    def _hold(self, status: Status) -> None:
        """Show the newest flip; it stays until another was measured."""
        if status.last_flip is None or status.last_flip == self._held:
            return
        self._held = status.last_flip
        drawn = held_flip(self._workbench.live, status.roles, status.polarity, self._held)
        self.last_flip.show_flip(flip_words(self._held), drawn)

    @Slot()
    def draw(self) -> None:
        """Draw the newest window."""
        if self.isVisible():
            self.lanes.draw()

    @Slot()
    def tell(self) -> None:
        """Say in words what is seen on each lead."""
        if self.isVisible():
            self.lanes.tell()
            self._judge_swap()

    def _judge_swap(self) -> None:
        switch, output = self.lanes.row_of("switch"), self.lanes.row_of("output")
        if switch is None or output is None:
            self.swap_hint.hide()
        else:
            self.swap_hint.setVisible(look_swapped(switch.summary, output.summary))

    @Slot()
    def swap(self) -> None:
        """Swap what the switch's and the servo output's leads are clipped to."""
        switch, output = self.lanes.row_of("switch"), self.lanes.row_of("output")
        if switch is not None and output is not None:
            self._workbench.wish(ClipTo(lead=switch.lead.index, role="output"))
            self._workbench.wish(ClipTo(lead=output.lead.index, role="switch"))

    @Slot(int, str)
    def clip(self, lead: int, role: str) -> None:
        """Say what a lead is clipped to; a lead that had that role before is free then."""
        self._workbench.wish(ClipTo(lead=lead, role=role))

    def _allow_flip(self) -> None:
        """Let the probe flip a real set's switch only once the bench is confirmed safe: whatever it moves, moves."""
        status = self._workbench.status
        there = status is not None and self._workbench.drive_lead() is not None
        safe = status is not None and (self._workbench.practising or not status.refusals)
        self.flip_button.setVisible(there)
        self.flip_button.setEnabled(safe)
        self.flip_note.setVisible(there and not safe)
        movable = self._workbench.stick.can_move and self._workbench.lead_of("stick") is not None
        self.stick_button.setVisible(movable and not self._workbench.running)

    @Slot(str)
    def ask_wiring(self, role: str) -> None:
        """Show how a lead of this role is wired."""
        closed = self._workbench.pick_up in (PickUp.TAPED, PickUp.LIGHT_GATE)
        self.help_wanted.emit(wiring_page(role, closed=closed))

    @Slot(int, object)
    def say_pulse(self, lead: int, polarity: Polarity) -> None:
        """Say which state of a lead is its pulse, or leave it to the data again."""
        self._workbench.wish(PulseIs(lead=lead, polarity=polarity))

    def _pick_up(self) -> PickUp:
        """Return the answer: on the practice bench its own contact, not noted as long as nobody answered."""
        if self._workbench.practising:
            return PickUp.CONTACT
        index = self.pick_up.currentIndex()
        return CHOICES[index][0] if index >= 0 else PickUp.UNKNOWN

    def _carry_over(self) -> None:
        """Say of an answer that it was given for another session."""
        self.carried_note.setVisible(self.pick_up.currentIndex() >= 0)
        self.pick_up.setAccessibleDescription(CARRIED_OVER if self.pick_up.currentIndex() >= 0 else "")

    @Slot(int)
    def _choose_pick_up(self, index: int) -> None:
        self._workbench.choose_pick_up(CHOICES[index][0])
        self.carried_note.hide()
        self.pick_up.setAccessibleDescription("")

    @Slot()
    def toggle_frozen(self) -> None:
        """Hold the picture still, or let it run on."""
        self.lanes.toggle_frozen()

    @Slot()
    def back_to_normal(self) -> None:
        """Show the usual window, running."""
        self.lanes.back_to_normal()

    @Slot()
    def zoom_in(self) -> None:
        """Show a shorter time."""
        self.lanes.zoom(1)

    @Slot()
    def zoom_out(self) -> None:
        """Show a longer time."""
        self.lanes.zoom(-1)

    @Slot()
    def go_back_in_time(self) -> None:
        """Hold the picture and show what came before."""
        self.lanes.move_view(-_KEY_MOVES)

    @Slot()
    def go_on_in_time(self) -> None:
        """Show what came after."""
        self.lanes.move_view(_KEY_MOVES)

    @Slot()
    def flip(self) -> None:
        """Flip the switch of a bench that can do so itself."""
        self._workbench.flip()

    @Slot()
    def move_stick(self) -> None:
        """Move the stick of the practice bench from end to end."""
        self._workbench.stick.move_over()

    @Slot()
    def _show_frozen(self) -> None:
        window_s = self.lanes.window_s
        self._windows.choose(WINDOWS_S.index(window_s) if window_s in WINDOWS_S else _NONE)
        self.frozen_note.setVisible(self.lanes.frozen)
        self.freeze_button.setChecked(self.lanes.frozen)
        self.freeze_button.setText("Let it run" if self.lanes.frozen else "Freeze")

    @Slot(int)
    def _choose_window(self, index: int) -> None:
        self.lanes.show_window(WINDOWS_S[index])
