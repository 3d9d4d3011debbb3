"""Choosing a test: a card for each with its Start, and behind More what may be chosen for it."""

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QPushButton, QVBoxLayout

from benchapp.acquisition.clipping import leads_by_role
from benchapp.acquisition.status import Status
from benchapp.acquisition.wishes import ChooseTest
from benchapp.presentation.live.stick_view import StickChoice
from benchapp.presentation.screens.test_choice import start_refusal
from benchapp.presentation.shown import CARDS
from benchapp.records.errors import WrongCall
from benchapp.ui.kept.settings import Settings
from benchapp.ui.link.workbench import Workbench
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.screens.tests_page.test_card import TestCard
from benchapp.ui.screens.tests_page.test_options import options_of
from benchapp.ui.widgets.buttons import BenchButton, button
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.page import PageFrame, card
from benchapp.ui.widgets.tick_box import TickBox
from benchapp.ui.widgets.wrap_row import FILL, WrapRow

_MOST_OF_IT = 30
_NO_BENCH = "No bench is open. Open the practice bench or connect a probe on Start."


class TestChoice(PageFrame):
    """A card for each test that can be run, and below them what may be chosen for the one that is."""

    __test__ = False

    start = Signal(object)
    go_safe = Signal()
    go_leads = Signal()
    go_start = Signal()

    def __init__(self, workbench: Workbench, settings: Settings) -> None:
        super().__init__("Tests", "Press Start on the test you want. What is set is what is usual; More shows it.")
        self._workbench = workbench
        self.options = {test: options_of(test, workbench, settings) for test in CARDS.names()}
        self.sounds = TickBox("Sounds", name="Sounds for now and for done")
        self.sounds.setChecked(settings.sounds)
        self._test = next(iter(self.options))
        self.unfolded = False
        self.why_not = PlainLabel("", Type.BODY, wrap=True)
        self.safe_button = button("Go to Make it safe")
        self.safe_button.clicked.connect(self.go_safe)
        self.leads_button = button("Go to Leads")
        self.leads_button.clicked.connect(self.go_leads)
        self.open_button = button("Go to Start")
        self.open_button.clicked.connect(self.go_start)
        self._seen: tuple[object, ...] = ()
        self._make_cards()
        self._make_chosen()
        workbench.status_changed.connect(self.show_status)
        workbench.closed.connect(self.show_no_bench)
        workbench.telling.connect(self.tell)
        for options in self.options.values():
            options.changed.connect(self._look)
        self.choose(settings.test)
        self._chosen()

    def main_button(self) -> QPushButton | None:
        """Return Start of the chosen test, or the button that leads to what is missing."""
        buttons = (self.start_button, self.safe_button, self.leads_button, self.open_button)
        return next((made for made in buttons if made.isEnabled() and made.isVisibleTo(self)), None)

    def _make_cards(self) -> None:
        self.cards = {test: TestCard(test) for test in self.options}
        row = WrapRow(spacing=Space.MEDIUM, line_spacing=Space.MEDIUM)
        for made in self.cards.values():
            made.pressed.connect(self.choose)
            made.start_wanted.connect(self._start)
            made.more_wanted.connect(self.show_more)
            row.addWidget(made, 1, FILL)
        self.task.addLayout(row)

    def _make_chosen(self) -> None:
        self.hand = PlainLabel("", Type.BODY, bold=True, wrap=True)
        self.task.addWidget(self.hand)
        self.more = card()
        column = QVBoxLayout(self.more)
        column.setContentsMargins(Space.WIDE, Space.LARGE, Space.WIDE, Space.LARGE)
        column.setSpacing(Space.MEDIUM)
        self.first = PlainLabel("", Type.BODY, wrap=True)
        column.addWidget(self.first)
        self.needs = PlainLabel("", Type.BODY, soft=True, wrap=True)
        column.addWidget(self.needs)
        for options in self.options.values():
            column.addWidget(options)
        self.task.addWidget(self.more)
        self.task.addStretch(1)
        self.foot.addWidget(self.sounds)
        self.foot.addWidget(self.why_not, _MOST_OF_IT)
        self.foot.addStretch(1)
        for made in (self.open_button, self.safe_button, self.leads_button):
            self.foot.addWidget(made)

    @property
    def test(self) -> str:
        """The test that is chosen."""
        return self._test

    @property
    def start_button(self) -> BenchButton:
        """Start of the chosen test."""
        return self.cards[self._test].start

    def stick_choice(self) -> StickChoice | None:
        """Return what the run page must know of a stick test, None for a test of the switch."""
        return self.options[self.test].chosen()

    @Slot(str)
    def choose(self, test: str) -> None:
        """Choose a test."""
        if test in self.cards:
            self._test = test
            self._chosen()

    @Slot(str)
    def show_more(self, test: str) -> None:
        """Show what may be chosen for a test, or fold it away where it is shown already."""
        self.unfolded = not (self.unfolded and test == self._test)
        self.choose(test)

    @Slot()
    def _chosen(self) -> None:
        for test, options in self.options.items():
            options.setVisible(test == self.test)
        for test, made in self.cards.items():
            made.choose.setChecked(self.unfolded and test == self.test)
        self.more.setVisible(self.unfolded)
        self.first.show_text(CARDS.of(self.test).first)
        self.needs.show_text(CARDS.of(self.test).needs)
        self._workbench.wish(ChooseTest(test=self.test))
        self._look()

    @Slot()
    def tell(self) -> None:
        """Say what the options propose for what is seen now."""
        if self.isVisible():
            self.options[self.test].tell()

    @Slot()
    def show_no_bench(self) -> None:
        """Show that nothing can be started without a bench."""
        self._seen = ()
        self._look()

    @Slot(object)
    def show_status(self, status: Status) -> None:
        """Show whether a test can be started, and if not, why."""
        seen = (status.link, status.leads, dict(status.roles), status.refusals)
        if seen != self._seen:
            self._seen = seen
            self._look()

    @Slot()
    def _look(self) -> None:
        """Look what stands in the way of the chosen test, and offer what this bench can do."""
        status = self._workbench.status
        for options in self.options.values():
            options.show_bench()
        for test, made in self.cards.items():
            made.show_missing("" if status is None or not status.leads else _first(self._missing(test, status)))
        if status is None:
            self.hand.hide()
            self._allow(_NO_BENCH, begin=True)
            return
        told = self.options[self.test].bench_hand()
        self.hand.show_text(told)
        self.hand.setVisible(bool(told))
        refusals = {refusal.line.value: refusal.why.value for refusal in status.refusals}
        refused = start_refusal(status.link.value, refusals)
        problem = self.options[self.test].problem()
        missing = self._missing(self.test, status) if status.leads else ""
        self._allow(refused or problem or missing, safe=bool(refusals), leads=not refused and not problem)
        for test, made in self.cards.items():
            if test != self.test:
                made.start.setEnabled(not refused and not (status.leads and self._missing(test, status)))

    def _missing(self, test: str, status: Status) -> str:
        """Return which lead is missing for a test, or in the wrong place; "" where none is."""
        by_stops = self.options[test].is_by_stops
        try:
            leads_by_role(dict(status.roles), status.leads, test=test, by_stops=by_stops)
        except WrongCall as wrong:
            return wrong.message
        return ""

    def _allow(self, why_not: str, *, begin: bool = False, safe: bool = False, leads: bool = False) -> None:
        for made in self.cards.values():
            made.start.setEnabled(not why_not and made.test == self.test)
        self.why_not.show_text(why_not)
        self.why_not.setVisible(bool(why_not))
        self.open_button.setVisible(begin)
        self.safe_button.setVisible(safe)
        self.leads_button.setVisible(leads and bool(why_not))

    @Slot(str)
    def _start(self, test: str) -> None:
        """Start a test; one that is set wrongly is shown with what may be chosen for it instead."""
        if test != self._test:
            self.choose(test)
        if self.options[test].problem():
            self.unfolded = True
            self._chosen()
            return
        self.start.emit(self.options[self.test].wish())


def _first(text: str) -> str:
    """Return the first sentence of a text."""
    return text.split(". ", maxsplit=1)[0].removesuffix(".") + "." if text else ""
