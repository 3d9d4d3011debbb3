"""What may be chosen for a sweep: moving or by stops, how often, which marks, and who moves the stick."""

from pathlib import Path

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QFileDialog, QLineEdit, QVBoxLayout

from benchapp.acquisition.wishes import StartRun
from benchapp.assets import resource
from benchapp.presentation.ground.messages import message_for
from benchapp.presentation.ground.numbers import marked
from benchapp.presentation.live.stick_view import StickChoice
from benchapp.presentation.screens.stick_choice import (
    BENCH_MOVES,
    OFFERED_MARKS,
    USUAL_MARKS,
    USUAL_TIMES,
    USUAL_WITHIN_DEG,
    bench_sentence,
    cycles_sentence,
    even_marks,
    positions_sentence,
    stops_problem,
    stops_sentence,
    take_sentence,
    typed_positions,
    way_sentence,
)
from benchapp.records.errors import WrongCall
from benchapp.records.run import RunSettings
from benchapp.ui.kept.settings import Settings
from benchapp.ui.link import other_programs
from benchapp.ui.link.workbench import Workbench
from benchapp.ui.look.theme import use_lengths
from benchapp.ui.screens.tests_page.option_grid import Option, OptionGrid
from benchapp.ui.screens.tests_page.test_options import TestOptions
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.decimal_validator import DecimalValidator
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.number_field import NumberField
from benchapp.ui.widgets.one_of import OneOf

_MOST_CYCLES = 100
_FIELD_PX, _TYPED_PX = 84, 180
_USUAL_PRESET = OFFERED_MARKS.index(USUAL_MARKS)
PROTRACTOR = "stick-protractor.svg"


class SweepOptions(TestOptions):
    """The options of the stick sweep. changed: whether it can be started may be another answer now."""

    def __init__(self, workbench: Workbench) -> None:
        super().__init__()
        self._workbench = workbench
        self._make_way()
        self._make_marks()
        self.i_say = button("I say when")
        self.by_itself = button("By itself")
        self._take = OneOf([self.i_say, self.by_itself], self)
        self._take.choose(0)
        self.take = Option("Take a stop", self.i_say, self.by_itself)
        self.by_bench = button("The bench moves it")
        self.by_hand = button("I move it")
        self._who = OneOf([self.by_bench, self.by_hand], self)
        self._who.choose(0)
        self.who = Option("Who moves it", self.by_bench, self.by_hand)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(OptionGrid(self.way, self.often, self.marks, self.right, self.take, self.who))
        for chosen in (self._way.chosen, self._presets.chosen, self._unit.chosen, self._take.chosen, self._who.chosen):
            chosen.connect(self._say)
        for edited in (self.typed.textChanged, self.within.textChanged, self.cycles.changed):
            edited.connect(self._say)
        self._say()

    def _make_way(self) -> None:
        self.moving = button("Moving all the way")
        self.by_stops = button("By marks, stop by stop")
        self._way = OneOf([self.moving, self.by_stops], self)
        self._way.choose(0)
        self.way = Option("How", self.moving, self.by_stops)
        self.cycles = NumberField(USUAL_TIMES, least=1, most=_MOST_CYCLES)
        use_lengths(self.cycles, maximumWidth=_FIELD_PX)
        self.cycles.setAccessibleName("How many times there and back")
        self.often = Option("How often", self.cycles, PlainLabel("times there and back"))

    def _make_marks(self) -> None:
        self.preset_buttons = [button(f"{count}", name=f"{count} even marks") for count in OFFERED_MARKS]
        self.own_button = button("My own", name="Marks of my own, typed")
        self._presets = OneOf([*self.preset_buttons, self.own_button], self)
        self._presets.choose(_USUAL_PRESET)
        self.typed = QLineEdit()
        use_lengths(self.typed, minimumWidth=_TYPED_PX)
        self.typed.setAccessibleName("Positions of the marks, rising")
        self.degrees_button = button("°", name="Positions are in degrees")
        self.percent_button = button("%", name="Positions are in percent of the travel")
        self._unit = OneOf([self.degrees_button, self.percent_button], self)
        self._unit.choose(0)
        self.within = QLineEdit(marked(f"{USUAL_WITHIN_DEG:g}"))
        self.within.setValidator(DecimalValidator(0.0, 45.0, places=3, parent=self))
        use_lengths(self.within, maximumWidth=_FIELD_PX)
        self.within.setAccessibleName("A mark is set right to within so many degrees")
        self.open_protractor = button("Open the protractor", Kind.QUIET, name="Open the protractor, to print it")
        self.open_protractor.clicked.connect(self._open_protractor)
        self.save_protractor = button("Save it…", Kind.QUIET, name="Save the protractor, to print it")
        self.save_protractor.clicked.connect(self._save_protractor)
        self.marks = Option(
            "Marks",
            *self.preset_buttons,
            self.own_button,
            self.typed,
            self.degrees_button,
            self.percent_button,
            wide=self.typed,
        )
        self.right = Option(
            "Each set",
            PlainLabel("right to within ±"),
            self.within,
            PlainLabel("°"),
            self.open_protractor,
            self.save_protractor,
        )
        self.right.says.show_text("The protractor, printed, has the marks of 5, 9, 11 and 21. Half a degree is usual.")

    @property
    def is_by_stops(self) -> bool:
        """Whether the stick is set to marks."""
        return self.by_stops.isChecked()

    @property
    def bench_moves(self) -> bool:
        """Whether the practice bench moves its own stick."""
        return self._workbench.stick.can_move and self.by_bench.isChecked()

    def positions(self) -> tuple[float, ...]:
        """Return the marks in degrees. Raises WrongCall for what cannot be read as a position."""
        if not self.own_button.isChecked():
            return even_marks(OFFERED_MARKS[self._presets.index()])
        return typed_positions(self.typed.text(), percent=self.percent_button.isChecked())

    def settings(self) -> RunSettings:
        """Return what the run is to be told. Raises WrongCall for what cannot be read as a position."""
        if not self.is_by_stops:
            return RunSettings(cycles=self.cycles.value())
        # the bench's own hand sets its marks exactly
        within_deg = 0.0 if self.bench_moves else self.half_width_deg()
        return RunSettings(cycles=self.cycles.value(), stops_deg=self.positions(), stop_half_width_deg=within_deg)

    def half_width_deg(self) -> float | None:
        """Return how far a mark may be off [degrees], None where nothing sensible was typed."""
        try:
            return max(float(self.within.text().strip().replace(",", ".")), 0.0)
        except ValueError:
            return None

    def problem(self) -> str:
        """Return why the run cannot be started as it is set, "" where it can."""
        try:
            settings = self.settings()
        except WrongCall as wrong:
            return wrong.message
        if not self.is_by_stops:
            return ""
        return stops_problem("stick-sweep", settings, practice=self._workbench.stick.can_move)

    def wish(self) -> StartRun:
        """Return the run as it is set."""
        return StartRun(test="stick-sweep", settings=self.settings(), takes_itself=self._choice().itself)

    def chosen(self) -> StickChoice:
        """Return what the run page must know of what was chosen."""
        return self._choice()

    def _choice(self) -> StickChoice:
        return StickChoice(
            itself=self.bench_moves or self.by_itself.isChecked(),
            percent=self.percent_button.isChecked() and self.own_button.isChecked(),
            bench=self.bench_moves,
            by_lead=self._workbench.lead_of("stick") is not None,
        )

    def bench_hand(self) -> str:
        """Return that the practice bench moves its own stick, where it does."""
        return BENCH_MOVES if self.bench_moves else ""

    def show_bench(self) -> None:
        """Offer what this bench can do."""
        self.who.show_option(shown=self._workbench.stick.can_move)
        self._show_options()

    def _show_options(self) -> None:
        by_stops = self.is_by_stops
        self.marks.show_option(shown=by_stops)
        self.right.show_option(shown=by_stops and not self.bench_moves)
        self.take.show_option(shown=by_stops and not self.bench_moves)
        for part in (self.typed, self.degrees_button, self.percent_button):
            part.setVisible(by_stops and self.own_button.isChecked())

    @Slot()
    def _say(self) -> None:
        self._show_options()
        percent = self.percent_button.isChecked()
        self.typed.setPlaceholderText("0 25 50 75 100" if percent else "−30 −15 0 15 30")
        self.way.says.show_text(way_sentence(by_stops=self.is_by_stops))
        self.take.says.show_text(take_sentence(itself=self.by_itself.isChecked()))
        self.who.says.show_text(bench_sentence(bench=self.by_bench.isChecked()))
        problem = self.problem()
        if problem:
            self.marks.says.show_text(problem)
            self.often.says.show_text(" ")
        else:
            settings = self.settings()
            marks = len(settings.stops_deg)
            self.marks.says.show_text(positions_sentence(settings.stops_deg))
            self.often.says.show_text(
                stops_sentence(marks, self.cycles.value()) if marks else cycles_sentence(self.cycles.value())
            )
        self.changed.emit()

    @Slot()
    def _open_protractor(self) -> None:
        other_programs.show_file(resource(PROTRACTOR))

    @Slot()
    def _save_protractor(self) -> None:
        chosen, _ = QFileDialog.getSaveFileName(self, "Save the protractor", PROTRACTOR, "Pictures (*.svg)")
        if chosen:
            try:
                Path(chosen).write_bytes(resource(PROTRACTOR).read_bytes())
            except OSError as error:
                self._workbench.trouble.emit(message_for(error))


def _made(workbench: Workbench, _settings: Settings) -> SweepOptions:
    return SweepOptions(workbench)


PART = _made
