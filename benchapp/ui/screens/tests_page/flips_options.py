"""What may be chosen for a run of flips: how many, to what give or take, over how many switch-ons, and who flips."""

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QLineEdit, QVBoxLayout

from benchapp.acquisition.wishes import StartRun
from benchapp.presentation.screens.test_choice import (
    BENCH_FLIPS,
    MOST_TYPED,
    PLANS,
    plan_name,
    plan_of,
    plan_problem,
    plan_sentence,
    plan_words,
    proposed_target,
    proposed_text,
    who_sentence,
)
from benchapp.records.run import PickUp, RunSettings
from benchapp.ui.kept.settings import Settings
from benchapp.ui.link.lead_summary import lead_summary
from benchapp.ui.link.workbench import Workbench
from benchapp.ui.look.theme import use_lengths
from benchapp.ui.screens.tests_page.correction_option import CorrectionOption
from benchapp.ui.screens.tests_page.option_grid import Option, OptionGrid
from benchapp.ui.screens.tests_page.test_options import TestOptions
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.decimal_validator import DecimalValidator
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.number_field import NumberField
from benchapp.ui.widgets.one_of import OneOf

_MOST_FLIPS = 2000
_FIELD_PX = 84


class FlipOptions(TestOptions):
    """The options of the test from switch to servo pulse."""

    def __init__(self, workbench: Workbench, *, flips: int, bench_flips: bool) -> None:
        super().__init__()
        self._workbench = workbench
        self.flips = NumberField(flips, least=1, most=_MOST_FLIPS)
        use_lengths(self.flips, minimumWidth=_FIELD_PX, maximumWidth=_FIELD_PX)
        self.flips.setAccessibleName("How many flips")
        self.target = QLineEdit()
        self.target.setValidator(DecimalValidator(0.01, 1000.0, places=3, parent=self))
        use_lengths(self.target, maximumWidth=_FIELD_PX)
        self.target.setPlaceholderText("none")
        self.target.setAccessibleName("Stop by itself at this give or take, in milliseconds")
        self.propose = button("Take it", Kind.QUIET, name="Take the proposed give or take")
        self.propose.clicked.connect(self._take_proposal)
        self.switch_ons = NumberField(1, least=1, most=MOST_TYPED)
        use_lengths(self.switch_ons, minimumWidth=_FIELD_PX, maximumWidth=_FIELD_PX)
        self.switch_ons.setAccessibleName("Over how many switch-ons of the transmitter")
        self.plan_buttons = [button(plan_words(*plan), name=plan_name(*plan)) for plan in PLANS]
        self._plans = OneOf(self.plan_buttons, self)
        self.by_hand = button("I flip it")
        self.by_bench = button("The bench flips it")
        self._who = OneOf([self.by_hand, self.by_bench], self)
        self._who.choose(int(bench_flips))
        self.many = Option("Flips", self.flips, PlainLabel("or stop at ±"), self.target, PlainLabel("ms"), self.propose)
        self.correction = CorrectionOption()
        ons = (PlainLabel("or switch-ons"), self.switch_ons, self.correction.further)
        self.radio = Option("Switch-ons × flips", *self.plan_buttons, *ons)
        self.who = Option("Who flips", self.by_hand, self.by_bench)
        self.proposal, self.plan_says = self.many.says, self.radio.says
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(OptionGrid(self.many, self.radio, self.who, self.correction))
        column.addWidget(self.correction.done)
        self.correction.changed.connect(self.changed)
        workbench.opened.connect(self.correction.clear)
        self._plans.chosen.connect(self._take_plan)
        for changed in (self._who.chosen, self.switch_ons.changed, self.flips.changed):
            changed.connect(self._say)
        self._say()

    @property
    def driven(self) -> bool:
        """Whether the probe is to flip the switch itself."""
        return self._workbench.drive_lead() is not None and self.by_bench.isChecked()

    def problem(self) -> str:
        """Return why the run cannot be started as it is set; "" where it can."""
        return plan_problem(self.switch_ons.value(), self.flips.value()) or self.correction.typed().problem

    def wish(self) -> StartRun:
        """Return the run as it is set."""
        driven, correction = self.driven, self.correction.typed()
        return StartRun(
            test="switch-flip",
            settings=RunSettings(
                flips=self.flips.value(),
                target_ms=self.target_ms(),
                switch_ons=self.switch_ons.value(),
                correction_ms=correction.correction_ms,
                correction_within_ms=correction.within_ms,
            ),
            phase_stepped=driven,
            pick_up=PickUp.DRIVEN if driven else self._workbench.pick_up,
        )

    def show_bench(self) -> None:
        """Offer what this bench can do."""
        self.who.show_option(shown=self._workbench.drive_lead() is not None)
        self.by_bench.setText("The bench flips it" if self._workbench.practising else "The probe flips it")

    def bench_hand(self) -> str:
        """Return that the practice bench flips by itself, where it does."""
        return BENCH_FLIPS if self._workbench.practising and self.driven else ""

    def target_ms(self) -> float | None:
        """Return the give or take to stop at, None where none is wanted."""
        try:
            value = float(self.target.text().strip().replace(",", "."))
        except ValueError:
            return None
        return value if value > 0 else None

    def frame_ms(self) -> float | None:
        """Return the frame the servo output shows now, None where it shows none."""
        status, live = self._workbench.status, self._workbench.live
        lead = next((index for index, role in (status.roles if status else {}).items() if role == "output"), None)
        if lead is None or lead not in live.leads:
            return None
        rate_hz = lead_summary(live.leads[lead], role="output", newest_ns=live.newest_ns).rate_hz
        return 1000.0 / rate_hz if rate_hz else None

    def tell(self) -> None:
        """Propose a give or take for the frame that is seen."""
        frame_ms = self.frame_ms()
        self.proposal.show_text(proposed_target(frame_ms))
        self.propose.setVisible(bool(proposed_text(frame_ms)))

    @Slot()
    def _say(self) -> None:
        switch_ons, flips = self.switch_ons.value(), self.flips.value()
        self._plans.choose(plan_of(switch_ons, flips))
        self.plan_says.show_text(plan_problem(switch_ons, flips) or plan_sentence(switch_ons, flips))
        self.who.says.show_text(who_sentence(driven=self.by_bench.isChecked()))
        self.changed.emit()

    @Slot(int)
    def _take_plan(self, index: int) -> None:
        switch_ons, each = PLANS[index]
        self.switch_ons.set_value(switch_ons)
        self.flips.set_value(switch_ons * each)

    @Slot()
    def _take_proposal(self) -> None:
        self.target.setText(proposed_text(self.frame_ms()))


def _made(workbench: Workbench, settings: Settings) -> FlipOptions:
    return FlipOptions(workbench, flips=settings.flips, bench_flips=settings.bench_flips)


PART = _made
