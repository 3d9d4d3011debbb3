"""One session's findings on one long sheet: safety, verdict, figure with its dots, left-out flips, everything else."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from benchapp.presentation.flips.flip_figure import flip_figure, usual_flip
from benchapp.presentation.ground.numbers import grouped
from benchapp.presentation.ground.page import Block, Bullets, Figure, Heading, KeyFigure, Notice, Paragraph, Signal
from benchapp.presentation.screens.screen_parts import of_run, shared
from benchapp.presentation.shown import shown_test
from benchapp.records.findings import Latency, RunFindings
from benchapp.ui.link.desk_calls import OpenSession
from benchapp.ui.look.theme import Theme, use_lengths
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.screens.findings.blocks import block_widget, key_figure_widget
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.figure_view import FigureView
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.page import card
from benchapp.ui.widgets.table_view import TableView
from benchapp.ui.widgets.wrap_row import FILL, WrapRow

if TYPE_CHECKING:
    from benchapp.ui.screens.findings.dot_plot import DotPlot

_FIGURE_PX = 340
_LEAST_DRAWING_PX = 400
_VERDICT_AND_DEFINITION = 2
_DRAWN_LIVE = ("dots", "trains")
_OF_FLIPS = ("trials", "left-out")
_HOW_TO_READ = "How to read the figure"


class SafetyFold(QWidget):
    """The safety notes: what must be read in view, the rest one press away.

    What can hurt badly is never folded away where a real bench was used; on the practice bench nothing can move.
    """

    def __init__(
        self, theme: Theme, blocks: Iterable[Block], *, practice: bool = False, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        blocks = [block for block in blocks if not isinstance(block, Heading)]
        notes = [block for block in blocks if isinstance(block, Notice)]
        said = [block for block in blocks if isinstance(block, Paragraph)]
        frame = card()
        inside = QVBoxLayout(frame)
        inside.setContentsMargins(Space.LARGE, Space.MEDIUM, Space.LARGE, Space.MEDIUM)
        inside.setSpacing(Space.HAIR)
        self.toggle = button("Show the safety notes", Kind.QUIET)
        self.toggle.setCheckable(True)
        self.toggle.clicked.connect(self._unfold)
        head = QHBoxLayout()
        head.addWidget(PlainLabel(said[-1].text if said else "Safety", Type.LEAD, bold=True, wrap=True), 1)
        head.addWidget(self.toggle)
        inside.addLayout(head)
        for paragraph in said[1:-1] if practice else said[:-1]:
            inside.addWidget(PlainLabel(paragraph.text, Type.BODY, soft=True, wrap=True))
        for note in notes:
            if _stays(note, practice=practice):
                inside.addWidget(block_widget(theme, note))
        self._notes = QWidget()
        column = QVBoxLayout(self._notes)
        column.setContentsMargins(0, Space.SMALL, 0, 0)
        for paragraph in said[:1] if practice else ():
            column.addWidget(block_widget(theme, paragraph))
        for note in notes:
            if not _stays(note, practice=practice):
                column.addWidget(block_widget(theme, note))
        self._notes.hide()
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(frame)
        outer.addWidget(self._notes)

    @Slot(bool)
    def _unfold(self, shown: bool) -> None:
        self._notes.setVisible(shown)
        self.toggle.setText("Fold the safety notes" if shown else "Show the safety notes")


class FindingsSheet(QWidget):
    """Everything the page of a session says about one of its runs."""

    def __init__(self, theme: Theme, session: OpenSession, run: RunFindings | None) -> None:
        super().__init__()
        self._theme = theme
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(Space.MEDIUM)
        common = shared(session.page)
        own = of_run(session.page, run.run if run else 0)
        self.safety = SafetyFold(theme, common.pop("safety", ()), practice=session.page.practice)
        self.column.addWidget(self.safety)
        said = [block for block in own.pop("verdict", common.pop("verdict", ())) if not _is_part_heading(block)]
        test = None if run is None else shown_test(run.test)
        defined = run is None or test is None or bool(test.definition(run.result))
        first = _VERDICT_AND_DEFINITION if defined else 1
        self._add(said[:first])
        figure = next((block for block in own.pop("figure", ()) if isinstance(block, KeyFigure)), None)
        self.dots: DotPlot | None = None
        beside = next((block for block in _figures(own) if test is not None and block.key == test.beside), None)
        if run is not None and figure is not None:
            self._add_figure(figure, run, beside, practice=session.page.practice)
            if test is not None and test.touched(run.result) is not None:
                self._add_closely(session, run)
        self._add(said[first:])
        self._add_reading(figure, 1 if test is None else test.lines_on_card)
        self._add(own.pop("left-out", ()))
        for blocks in (*own.values(), *common.values()):
            self._add(block for block in blocks if not _is_shown_above(block, beside))
        self.column.addStretch(1)
        self._tables = [view.rows for view in self.findChildren(TableView) if view.key.endswith(_OF_FLIPS)]
        for table in self._tables:
            table.row_chosen.connect(self._choose_row)

    def _add(self, blocks: Iterable[Block]) -> None:
        before: Block | None = None
        for block in blocks:
            self.column.addWidget(block_widget(self._theme, block, before))
            before = block

    def _add_reading(self, figure: KeyFigure | None, on_card: int) -> None:
        """Say how the figure is to be read: what does not fit on its card."""
        if figure is not None and figure.lines[on_card:]:
            self._add([Heading(text=_HOW_TO_READ, key="reading", level=3), Bullets(items=figure.lines[on_card:])])

    def _add_figure(self, figure: KeyFigure, run: RunFindings, beside: Figure | None, *, practice: bool) -> None:
        """Show the figure on its card, with every flip as a dot beside it, or the drawing of a stick test."""
        row = WrapRow(spacing=Space.LARGE, line_spacing=Space.LARGE)
        test = shown_test(run.test)
        shown = key_figure_widget(replace(figure, lines=figure.lines[: test.lines_on_card]))
        drawn: QWidget | None = None
        latency = test.touched(run.result)
        if latency is not None:
            drawn = self._dots(latency, practice=practice)
        elif beside is not None:
            drawn = FigureView(self._theme, beside)
        row.addWidget(shown, 1 if drawn is None else 0, FILL)
        if drawn is not None:
            use_lengths(shown, minimumWidth=_FIGURE_PX, maximumWidth=_FIGURE_PX)
            drawn.setMinimumWidth(_LEAST_DRAWING_PX)
            row.addWidget(drawn, 1, FILL)
        self.column.addLayout(row)

    def _dots(self, latency: Latency, *, practice: bool) -> QWidget:
        # half a second to import: only once there is something to draw
        from benchapp.ui.screens.findings.dot_plot import DotPlot  # noqa: PLC0415

        frame = card()
        inside = QVBoxLayout(frame)
        inside.setContentsMargins(Space.LARGE, Space.MEDIUM, Space.LARGE, Space.MEDIUM)
        self.dots = DotPlot(self._theme)
        self.dots.show_latency(latency, practice=practice)
        inside.addWidget(self.dots)
        return frame

    def _add_closely(self, session: OpenSession, run: RunFindings) -> None:
        """Show one flip's pulse trains: the usual one until another is chosen."""
        self._run = run
        self._evidence = next((found for found in session.loaded.runs if found.run == run.run), None)
        self._practice = session.page.practice
        self.closely: FigureView | None = None
        usual = usual_flip(run)
        figure = self._flip_figure(usual) if usual is not None else None
        if figure is None:
            return
        self.closely = FigureView(self._theme, figure)
        self.column.addWidget(self.closely)
        if self.dots is not None:
            self.dots.flip_chosen.connect(self._show_flip)

    def _flip_figure(self, flip: int) -> Figure | None:
        return flip_figure(self._run, self._evidence, flip, practice=self._practice)

    @Slot(int)
    def _show_flip(self, flip: int) -> None:
        """Show a chosen flip's pulse trains, and its row in the tables."""
        figure = self._flip_figure(flip)
        if figure is not None and self.closely is not None:
            self.closely.show_figure(figure)
        for table in self._tables:
            table.choose_row(grouped(flip))

    @Slot(str)
    def _choose_row(self, number: str) -> None:
        digits = "".join(filter(str.isdigit, number))
        if digits and self.dots is not None:
            self.dots.choose(int(digits))


def _stays(note: Notice, *, practice: bool) -> bool:
    """Return whether a note stays in view: what can hurt badly, where a real bench was used."""
    return not practice and note.signal in (Signal.DANGER, Signal.WARNING)


def _figures(parts: Mapping[str, Sequence[Block]]) -> list[Figure]:
    return [block for blocks in parts.values() for block in blocks if isinstance(block, Figure)]


def _is_shown_above(block: Block, beside: Figure | None) -> bool:
    return block is beside or (isinstance(block, Figure) and block.key in _DRAWN_LIVE)


def _is_part_heading(block: Block) -> bool:
    return isinstance(block, Heading) and block.level <= 2
