"""What may be chosen for a hold: how long, and at how many positions."""

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QVBoxLayout

from benchapp.acquisition.wishes import StartRun
from benchapp.presentation.live.stick_view import StickChoice
from benchapp.presentation.screens.stick_choice import BENCH_MOVES, USUAL_HOLD_S, bench_sentence, hold_sentence
from benchapp.records.run import RunSettings
from benchapp.ui.kept.settings import Settings
from benchapp.ui.link.workbench import Workbench
from benchapp.ui.look.theme import use_lengths
from benchapp.ui.screens.tests_page.option_grid import Option, OptionGrid
from benchapp.ui.screens.tests_page.test_options import TestOptions
from benchapp.ui.widgets.buttons import button
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.number_field import NumberField
from benchapp.ui.widgets.one_of import OneOf

_LONGEST_S = 3600
_MOST_POSITIONS = 21
_FIELD_PX = 84


class HoldOptions(TestOptions):
    """The options of the hold-still test."""

    def __init__(self, workbench: Workbench) -> None:
        super().__init__()
        self._workbench = workbench
        self.seconds = NumberField(USUAL_HOLD_S, least=1, most=_LONGEST_S)
        use_lengths(self.seconds, maximumWidth=_FIELD_PX)
        self.seconds.setAccessibleName("How many seconds at each position")
        self.positions = NumberField(1, least=1, most=_MOST_POSITIONS)
        use_lengths(self.positions, maximumWidth=_FIELD_PX)
        self.positions.setAccessibleName("At how many positions")
        self.unit = PlainLabel("position")
        self.long = Option("How long", self.seconds, PlainLabel("seconds, at"), self.positions, self.unit)
        self.by_bench = button("The bench moves it")
        self.by_hand = button("I move it")
        self._who = OneOf([self.by_bench, self.by_hand], self)
        self._who.choose(0)
        self.who = Option("Who moves it", self.by_bench, self.by_hand)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(OptionGrid(self.long, self.who))
        for changed in (self.seconds.changed, self.positions.changed, self._who.chosen):
            changed.connect(self._say)
        self._say()

    @property
    def bench_moves(self) -> bool:
        """Whether the practice bench brings its own stick to the positions."""
        return self._workbench.stick.can_move and self.by_bench.isChecked()

    def wish(self) -> StartRun:
        """Return the run as it is set."""
        settings = RunSettings(seconds=float(self.seconds.value()), positions=self.positions.value())
        return StartRun(test="hold-still", settings=settings)

    def chosen(self) -> StickChoice:
        """Return what the run page must know of what was chosen."""
        return StickChoice(
            bench=self.bench_moves, by_lead=self._workbench.lead_of("stick") is not None, from_middle=True
        )

    def bench_hand(self) -> str:
        """Return that the practice bench moves its own stick, where it does."""
        return BENCH_MOVES if self.bench_moves else ""

    def show_bench(self) -> None:
        """Offer what this bench can do."""
        self.who.show_option(shown=self._workbench.stick.can_move)

    @Slot()
    def _say(self) -> None:
        positions = self.positions.value()
        self.unit.show_text("position" if positions == 1 else "positions")
        self.long.says.show_text(hold_sentence(self.seconds.value(), positions))
        self.who.says.show_text(bench_sentence(bench=self.by_bench.isChecked()))


def _made(workbench: Workbench, _settings: Settings) -> HoldOptions:
    return HoldOptions(workbench)


PART = _made
