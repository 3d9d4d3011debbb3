"""Choosing a test: its card, how many flips, who flips."""

from PySide6.QtCore import Signal, Slot
from PySide6.QtGui import QDoubleValidator
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLayout, QLineEdit, QPushButton, QVBoxLayout, QWidget

from benchapp.acquisition.status import Status
from benchapp.acquisition.wishes import StartRun
from benchapp.presentation.test_choice import (
    BLOCKS,
    STICK_TESTS,
    USUAL_STICK_SETTINGS,
    blocks_sentence,
    blocks_words,
    proposed_target,
    proposed_text,
    start_refusal,
    who_sentence,
)
from benchapp.presentation.wording import test_words
from benchapp.records.run import TESTS, PickUp, RunSettings
from benchapp.ui.sights import lead_sight
from benchapp.ui.tokens import Space, Type
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.number_field import NumberField
from benchapp.ui.widgets.one_of import OneOf
from benchapp.ui.widgets.page import PageFrame, card
from benchapp.ui.widgets.tick_box import TickBox
from benchapp.ui.workbench import Workbench

_MOST_FLIPS = 2000
_FLIPS_PX, _TARGET_PX = 84, 84
_WHAT = (
    "Flip the switch up and down, a second or so apart and not in a beat. Each flip is timed from the contact to the "
    "end of the first servo pulse that has passed half-way."
)


class TestChoice(PageFrame):
    """A card for each test that can be run."""

    __test__ = False

    start = Signal(object)
    go_safe = Signal()

    def __init__(self, workbench: Workbench, *, flips: int, bench_flips: bool, sounds: bool) -> None:
        super().__init__("Tests", "Sixty flips are usual; more make the figure surer.")
        self._workbench = workbench
        self.flips = NumberField(flips, least=1, most=_MOST_FLIPS)
        self.flips.setFixedWidth(_FLIPS_PX)
        self.flips.setAccessibleName("How many flips")
        self.sounds = TickBox("Sounds", name="Sounds for flip now and for done")
        self.sounds.setChecked(sounds)
        self.target = QLineEdit()
        self.target.setValidator(QDoubleValidator(0.01, 1000.0, 3, self))
        self.target.setFixedWidth(_TARGET_PX)
        self.target.setPlaceholderText("none")
        self.proposal = PlainLabel("", Type.CAPTION, soft=True, wrap=True)
        self.propose = button("Take it", Kind.QUIET, name="Take the proposed give or take")
        self.propose.clicked.connect(self._take_proposal)
        self.target.setAccessibleName("Stop by itself at this give or take, in milliseconds")
        self.by_hand = button("I flip it")
        self.by_bench = button("The bench flips it")
        self.who = QWidget()
        self.start_button = button("Start", Kind.MAIN, name="Start the test")
        self.start_button.clicked.connect(self._start)
        self.why_not = PlainLabel("", Type.BODY)
        self.safe_button = button("Go to Make it safe")
        self.safe_button.clicked.connect(self.go_safe)
        self.stick_buttons: dict[str, QPushButton] = {}
        self.cards = {
            test: self._stick_card(test) if test in STICK_TESTS else self._card(bench_flips=bench_flips)
            for test in TESTS
        }
        for made in self.cards.values():
            self.task.addWidget(made)
        self.task.addStretch(1)
        workbench.status_changed.connect(self.show_status)
        workbench.closed.connect(self.show_no_bench)
        workbench.telling.connect(self.tell)
        self.show_no_bench()
        self._say_options()

    def main_button(self) -> QPushButton | None:
        """Return the button that starts the test, or the one that leads to what is missing."""
        return self.start_button if self.start_button.isEnabled() else self.safe_button

    def _card(self, *, bench_flips: bool) -> QWidget:
        frame = card()
        column = QVBoxLayout(frame)
        column.setContentsMargins(Space.WIDE, Space.WIDE, Space.WIDE, Space.WIDE)
        column.setSpacing(Space.LARGE)
        column.addWidget(PlainLabel(test_words("switch-flip"), Type.HEADING, bold=True))
        column.addWidget(PlainLabel(_WHAT, Type.BODY, soft=True, wrap=True))
        column.addLayout(self._settings(bench_flips=bench_flips))
        row = QHBoxLayout()
        row.setSpacing(Space.MEDIUM)
        row.addWidget(self.start_button)
        row.addWidget(self.why_not)
        row.addWidget(self.safe_button)
        row.addStretch(1)
        column.addLayout(row)
        return frame

    def _stick_card(self, test: str) -> QWidget:
        frame = card()
        column = QVBoxLayout(frame)
        column.setContentsMargins(Space.WIDE, Space.WIDE, Space.WIDE, Space.WIDE)
        column.setSpacing(Space.LARGE)
        column.addWidget(PlainLabel(test_words(test), Type.HEADING, bold=True))
        column.addWidget(PlainLabel(STICK_TESTS[test], Type.BODY, soft=True, wrap=True))
        begin = button("Start", name=f"Start the test {test_words(test)}")
        begin.clicked.connect(self._start_stick)
        self.stick_buttons[test] = begin
        column.addLayout(_row(begin))
        return frame

    @Slot()
    def _start_stick(self) -> None:
        for test, begin in self.stick_buttons.items():
            if begin is self.sender():
                self.start.emit(StartRun(test=test, settings=USUAL_STICK_SETTINGS[test]))

    def _settings(self, *, bench_flips: bool) -> QGridLayout:
        """Return the options, each with its name in one column and what it means below it."""
        self._who = OneOf([self.by_hand, self.by_bench], self)
        self._who.choose(int(bench_flips))
        self._who.chosen.connect(self._say_options)
        self.block_buttons = [button(blocks_words(blocks)) for blocks in BLOCKS]
        self._blocks = OneOf(self.block_buttons, self)
        self._blocks.choose(0)
        self._blocks.chosen.connect(self._say_options)
        self.flips.changed.connect(self._say_options)
        self.blocks_says = PlainLabel("", Type.CAPTION, soft=True, wrap=True)
        self.who_says = PlainLabel("", Type.CAPTION, soft=True, wrap=True)
        self.who_name = PlainLabel("Who flips")
        flips = _row(self.flips, PlainLabel("or stop at ±"), self.target, PlainLabel("ms"), self.propose, self.sounds)
        pair = QHBoxLayout(self.who)
        pair.setContentsMargins(0, 0, 0, 0)
        pair.addLayout(_row(self.by_hand, self.by_bench))
        grid = QGridLayout()
        grid.setHorizontalSpacing(Space.LARGE)
        grid.setVerticalSpacing(Space.HAIR)
        grid.setColumnStretch(1, 1)
        place = 0
        options: tuple[tuple[PlainLabel, QLayout | QWidget, PlainLabel], ...] = (
            (PlainLabel("Flips"), flips, self.proposal),
            (PlainLabel("The radio"), _row(*self.block_buttons), self.blocks_says),
            (self.who_name, self.who, self.who_says),
        )
        for name, what, says in options:
            grid.addWidget(name, place, 0)
            if isinstance(what, QLayout):
                grid.addLayout(what, place, 1)
            else:
                grid.addWidget(what, place, 1)
            grid.addWidget(says, place + 1, 1)
            grid.setRowMinimumHeight(place + 2, Space.SMALL)
            place += 3
        return grid

    @property
    def blocks(self) -> int:
        """How many switch-ons the run is to have."""
        return BLOCKS[self._blocks.index()]

    @Slot()
    def _say_options(self) -> None:
        self.blocks_says.show_text(blocks_sentence(self.blocks, self.flips.value()))
        self.who_says.show_text(who_sentence(driven=self.by_bench.isChecked()))

    def frame_ms(self) -> float | None:
        """Return the frame the servo output shows now, None where it shows none."""
        status, live = self._workbench.status, self._workbench.live
        lead = next((index for index, role in (status.roles if status else {}).items() if role == "output"), None)
        if lead is None or lead not in live.leads:
            return None
        rate_hz = lead_sight(live.leads[lead], role="output", newest_ns=live.newest_ns).rate_hz
        return 1000.0 / rate_hz if rate_hz else None

    @Slot()
    def tell(self) -> None:
        """Propose a give or take for the frame that is seen."""
        if self.isVisible():
            frame_ms = self.frame_ms()
            self.proposal.show_text(proposed_target(frame_ms))
            self.propose.setVisible(bool(proposed_text(frame_ms)))

    @Slot()
    def _take_proposal(self) -> None:
        self.target.setText(proposed_text(self.frame_ms()))

    def target_ms(self) -> float | None:
        """Return the give or take to stop at, None where none is wanted."""
        try:
            value = float(self.target.text().strip().replace(",", "."))
        except ValueError:
            return None
        return value if value > 0 else None

    @property
    def bench_flips(self) -> bool:
        """Whether the probe is to flip the switch itself."""
        return self._workbench.drive_lead() is not None and self.by_bench.isChecked()

    @Slot()
    def show_no_bench(self) -> None:
        """Show that nothing can be started without a bench."""
        self._allow("No bench is open. Open the practice bench or connect a probe on Start.", safe=False)
        self._show_who(shown=False)

    @Slot(object)
    def show_status(self, status: Status) -> None:
        """Show whether a test can be started, and if not, why."""
        refusals = {refusal.line.value: refusal.why.value for refusal in status.refusals}
        self._allow(start_refusal(status.link.value, refusals), safe=bool(refusals))
        self._show_who(shown=self._workbench.drive_lead() is not None)
        self.by_bench.setText("The bench flips it" if self._workbench.practising else "The probe flips it")

    def _show_who(self, *, shown: bool) -> None:
        for part in (self.who_name, self.who, self.who_says):
            part.setVisible(shown)

    def _allow(self, why_not: str, *, safe: bool) -> None:
        for begin in (self.start_button, *self.stick_buttons.values()):
            begin.setEnabled(not why_not)
        self.why_not.show_text(why_not)
        self.why_not.setVisible(bool(why_not))
        self.safe_button.setVisible(safe)

    @Slot()
    def _start(self) -> None:
        stepped = self.bench_flips
        self.start.emit(
            StartRun(
                settings=RunSettings(flips=self.flips.value(), target_ms=self.target_ms()),
                phase_stepped=stepped,
                pick_up=PickUp.DRIVEN if stepped else self._workbench.pick_up,
            )
        )


def _row(*parts: QWidget) -> QHBoxLayout:
    row = QHBoxLayout()
    row.setSpacing(Space.SMALL)
    for part in parts:
        row.addWidget(part)
    row.addStretch(1)
    return row
