"""One run's findings: a first screen that says it all, and five parts behind it of which one is open at a time."""

from collections.abc import Iterable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QVBoxLayout, QWidget

from benchapp.presentation.flips.dot_words import flip_says
from benchapp.presentation.flips.flip_figure import flip_figure, usual_flip
from benchapp.presentation.ground.human_ruler import Flight
from benchapp.presentation.ground.numbers import grouped
from benchapp.presentation.ground.page import NARROW_PX, Block, Figure, KeyFigure
from benchapp.presentation.ground.page import Signal as PageSignal
from benchapp.presentation.report_page.findings_view import WARNING, Tab, first_view, tabs
from benchapp.presentation.report_page.page_parts import parts
from benchapp.presentation.shown import shown_test
from benchapp.records.findings import RunFindings
from benchapp.ui.link.open_session import ReadSession
from benchapp.ui.look.theme import Theme, use_lengths
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.screens.findings.blocks import block_widget
from benchapp.ui.screens.findings.figure_card import figure_card
from benchapp.ui.screens.findings.ruler_card import RulerCard
from benchapp.ui.widgets.buttons import button
from benchapp.ui.widgets.figure_view import FigureView
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.one_of import OneOf
from benchapp.ui.widgets.page import card
from benchapp.ui.widgets.signal_word import SignalWord
from benchapp.ui.widgets.table import PageTable
from benchapp.ui.widgets.table_view import TableView
from benchapp.ui.widgets.wrap_row import FILL, WrapRow

if TYPE_CHECKING:
    from benchapp.ui.screens.findings.dot_plot import DotPlot

_FIGURE_PX, _LEAST_DRAWING_PX, _WIDEST_PX = 328, 400, 1100
_OF_FLIPS = ("trials", "left-out")


class FindingsSheet(QWidget):
    """Everything the page of a session says about one of its runs; `tab_chosen` tells which part was opened."""

    tab_chosen = Signal(str)

    def __init__(
        self,
        theme: Theme,
        session: ReadSession,
        run: RunFindings | None,
        *,
        flight: Flight | None = None,
        tab: str = "",
    ) -> None:
        super().__init__()
        self._theme, self._session, self._run = theme, session, run
        self.dots: DotPlot | None = None
        self.ruler: RulerCard | None = None
        self.closely: FigureView | None = None
        self.tabs: tuple[Tab, ...] = ()
        self.part: QWidget | None = None
        self._tables: list[PageTable] = []
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(Space.SMALL)
        use_lengths(self, maximumWidth=_WIDEST_PX)
        if run is None:
            self._add(block for part in parts(session.page) for block in part.blocks)
            self.column.addStretch(1)
            return
        self._add_first(run, flight or Flight())
        self._add_tabs(run, tab)
        self.column.addStretch(1)

    def _add_first(self, run: RunFindings, flight: Flight) -> None:
        shown = first_view(self._session.loaded.facts, run, self._session.page)
        if not self._session.page.practice:
            self.column.addLayout(_warning())
        self.verdict = PlainLabel(shown.verdict, Type.LEAD, bold=True, wrap=True)
        self.column.addWidget(self.verdict)
        if shown.figure is not None:
            self._add_figure(run, shown.figure, shown.drawing)
        if shown.timed is not None:
            self.ruler = RulerCard(self._theme, shown.timed, flight)
            self.column.addWidget(self.ruler)
        self.foot = PlainLabel(shown.foot, Type.CAPTION, soft=True, wrap=True)

    def _add_figure(self, run: RunFindings, figure: KeyFigure, drawing: Figure | None) -> None:
        row = WrapRow(spacing=Space.MEDIUM, line_spacing=Space.MEDIUM)
        shown = figure_card(self._theme, figure)
        drawn = self._drawn(run, drawing) if drawing is not None else None
        row.addWidget(shown, 1 if drawn is None else 0, FILL)
        if drawn is not None:
            use_lengths(shown, minimumWidth=_FIGURE_PX, maximumWidth=_FIGURE_PX)
            drawn.setMinimumWidth(_LEAST_DRAWING_PX)
            row.addWidget(drawn, 1, FILL)
        self.column.addLayout(row)

    def _drawn(self, run: RunFindings, drawing: Figure) -> QWidget:
        latency = shown_test(run.test).touched(run.result)
        if drawing.plot is None or latency is None:
            return FigureView(self._theme, drawing)
        # half a second to import: only once there is something to draw
        from benchapp.ui.screens.findings.dot_plot import DotPlot  # noqa: PLC0415

        frame = card()
        inside = QVBoxLayout(frame)
        inside.setContentsMargins(Space.MEDIUM, Space.SMALL, Space.MEDIUM, Space.SMALL)
        self.dots = DotPlot(self._theme)
        self.dots.show_figure(drawing, partial(flip_says, latency), practice=self._session.page.practice)
        self.dots.flip_chosen.connect(self._show_flip)
        inside.addWidget(self.dots)
        return frame

    def _add_tabs(self, run: RunFindings, tab: str) -> None:
        self.tabs = tabs(self._session.page, run)
        self.buttons = [button(one.title) for one in self.tabs]
        self._one_of = OneOf(self.buttons, self)
        self._one_of.chosen.connect(self._open)
        row = WrapRow(spacing=Space.SMALL, line_spacing=Space.SMALL)
        for made in self.buttons:
            row.addWidget(made, 1)
        self.column.addLayout(row)
        self.column.addWidget(self.foot)
        keys = [one.key for one in self.tabs]
        if tab in keys:
            self._one_of.choose(keys.index(tab))
            self._show_part(self.tabs[keys.index(tab)])

    @Slot(int)
    def _open(self, index: int) -> None:
        self._show_part(self.tabs[index])
        self.tab_chosen.emit(self.tabs[index].key)

    def open(self, key: str) -> None:
        """Open one of the parts behind the first screen."""
        index = next(number for number, one in enumerate(self.tabs) if one.key == key)
        self._one_of.choose(index)
        self._open(index)

    def _show_part(self, tab: Tab) -> None:
        if self.part is not None:
            self.column.removeWidget(self.part)
            self.part.hide()
            self.part.deleteLater()
        self.closely = None
        self.part = QWidget()
        column = QVBoxLayout(self.part)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(Space.MEDIUM)
        if tab.key == "every":
            self._add_closely(column)
        self._fill(column, tab.blocks)
        self.column.insertWidget(self.column.count() - 1, self.part)
        self._tables = [view.rows for view in self.part.findChildren(TableView) if view.key.endswith(_OF_FLIPS)]
        for table in self._tables:
            table.row_chosen.connect(self._choose_row)

    def _fill(self, column: QVBoxLayout, blocks: Iterable[Block]) -> None:
        """Add blocks one below the other; narrow figures stand side by side where they fit."""
        before: Block | None = None
        row: WrapRow | None = None
        for block in blocks:
            made = block_widget(self._theme, block, before)
            if isinstance(block, Figure) and block.width <= NARROW_PX:
                if row is None:
                    row = WrapRow(spacing=Space.LARGE, line_spacing=Space.LARGE)
                    column.addLayout(row)
                made.setMinimumWidth(round(block.width))
                row.addWidget(made, 1, FILL)
            else:
                row = None
                column.addWidget(made)
            before = block

    def _add(self, blocks: Iterable[Block]) -> None:
        self._fill(self.column, blocks)

    def _add_closely(self, column: QVBoxLayout) -> None:
        """Show one flip's pulse trains: the usual one until another is chosen."""
        run = self._run
        touched = None if run is None else shown_test(run.test).touched(run.result)
        usual = usual_flip(run) if run is not None and touched is not None else None
        figure = self._flip_figure(usual) if usual is not None else None
        if figure is not None:
            self.closely = FigureView(self._theme, figure)
            column.addWidget(self.closely)

    def _flip_figure(self, flip: int) -> Figure | None:
        if self._run is None:
            return None
        evidence = next((found for found in self._session.loaded.runs if found.run == self._run.run), None)
        return flip_figure(self._run, evidence, flip, practice=self._session.page.practice)

    @Slot(int)
    def _show_flip(self, flip: int) -> None:
        """Show a chosen flip's pulse trains, and its row in the tables, where these are open."""
        figure = self._flip_figure(flip) if self.closely is not None else None
        if figure is not None and self.closely is not None:
            self.closely.show_figure(figure)
        for table in self._tables:
            table.choose_row(grouped(flip))

    @Slot(str)
    def _choose_row(self, number: str) -> None:
        digits = "".join(filter(str.isdigit, number))
        if digits and self.dots is not None:
            self.dots.choose(int(digits))


def _warning() -> WrapRow:
    row = WrapRow(spacing=Space.SMALL)
    row.addWidget(SignalWord(PageSignal.WARNING.value))
    row.addWidget(PlainLabel(WARNING, Type.BODY, bold=True, wrap=True), 1)
    return row
