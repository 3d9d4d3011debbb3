"""Make it safe: what is on the bench, then every line that applies, confirmed by itself before anything runs."""

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QPushButton, QWidget

from benchapp.acquisition.status import Status
from benchapp.acquisition.wishes import PoweredUp, SayOnBench
from benchapp.presentation.ground.safety import MANUALS_WIN, REBIND, SafetyWords
from benchapp.presentation.screens.safety_view import (
    ALL_CONFIRMED,
    SafetyRow,
    asked_again,
    safety_advice,
    safety_left,
    safety_rows,
)
from benchapp.records.run import Origin
from benchapp.ui.link.workbench import Workbench
from benchapp.ui.look.tokens import Type
from benchapp.ui.screens.safe.advice import Advice
from benchapp.ui.screens.safe.bench_question import BenchQuestion
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.confirm_line import ConfirmLine
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.page import PageFrame

_PROBE = "Do what a line says, then confirm it. Each is confirmed by itself."
_PRACTICE = "On the practice bench one line is enough."
_FIRST = 1  # the question stands above the lines


class SafePage(PageFrame):
    """The question and its checklist. What holds is kept by the recording; the page only shows it."""

    go_on = Signal()

    def __init__(self, workbench: Workbench) -> None:
        super().__init__("Make it safe", _PROBE)
        self._workbench = workbench
        self._answered: set[str] = set()
        self._shown: tuple[SafetyRow, ...] = ()
        self._arranged: tuple[Origin, str] | None = None
        self._going_on = False
        self._begins = False
        self.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.lines: dict[str, ConfirmLine] = {}
        self.advice: Advice | None = None
        self.question = BenchQuestion()
        self.question.answered.connect(self._say_on_bench)
        self.manuals = PlainLabel(MANUALS_WIN, Type.BODY, soft=True, wrap=True)
        self.rebind = PlainLabel(REBIND, Type.BODY, wrap=True)
        self.task.addWidget(self.question)
        self.task.addWidget(self.rebind)
        self.task.addWidget(self.manuals)
        self.task.addStretch(1)
        self.left = PlainLabel("", Type.BODY, wrap=True)
        self.next_button = button("Next: Tests", Kind.MAIN)
        self.next_button.clicked.connect(self.go_on)
        self.power_button = button(
            "The model got power again", name="The model got power again: ask every line of Make it safe anew"
        )
        self.power_button.clicked.connect(self.powered_up)
        self.foot.addWidget(self.power_button)
        self.foot.addStretch(1)
        self.foot.addWidget(self.left, whole=True)
        self.foot.addWidget(self.next_button)
        workbench.opened.connect(self.begin_again)
        workbench.closed.connect(self.begin_again)
        workbench.status_changed.connect(self.show_status)
        self.begin_again()

    def main_button(self) -> QPushButton | None:
        """Return the button that goes on."""
        return self.next_button

    def first_focus(self) -> QWidget:
        """Return what the keyboard begins with: the first line to confirm, Next where there is none.

        Before the question is answered it is the page itself: Enter in passing must never name a bench.
        """
        if not self.lines:
            return self
        return next((line.button for line in self.lines.values() if not line.button.isChecked()), self.next_button)

    def showEvent(self, event: QShowEvent) -> None:
        """Open at the top, whatever was read last."""
        super().showEvent(event)
        self.scroller.verticalScrollBar().setValue(0)

    @Slot()
    def begin_again(self) -> None:
        """Forget every confirmation, because another bench is open."""
        self._answered = set()
        self.show_status(self._workbench.status)

    @Slot(object)
    def show_status(self, status: Status | None) -> None:
        """Show what still stands in the way of a run; everything where no bench is open."""
        origin = Origin.PROBE if status is None else status.origin
        on_bench = None if status is None else status.on_bench
        refused = () if status is None else status.refusals
        refusals = {refusal.line.value: refusal.why.value for refusal in refused}
        rows = safety_rows(origin, on_bench, confirmed=self._answered, refusals=refusals)
        if (origin, on_bench or "") != self._arranged:
            self._arrange(rows, origin, on_bench or "")
            self._advise(safety_advice(origin, on_bench), below=len(rows))
        self.next_button.setEnabled(status is not None and not refusals)
        self._show_answers(rows, refusals, opened=status is not None)

    def _show_answers(self, rows: tuple[SafetyRow, ...], refusals: dict[str, str], *, opened: bool) -> None:
        self.power_button.setEnabled(bool(self._answered))
        again = asked_again(self._answered, refusals)
        told = (safety_left(refusals) or ALL_CONFIRMED) if opened else ""
        self.left.show_text(f"{again} {told}".strip())
        if rows != self._shown:
            self._shown = rows
            for row in rows:
                self.lines[row.line].show_answer(confirmed=row.confirmed)
        if self._going_on and self.next_button.isEnabled():
            self._going_on = False
            if self.isVisible():
                self.next_button.setFocus()

    def _arrange(self, rows: tuple[SafetyRow, ...], origin: Origin, on_bench: str) -> None:
        """Show the lines of another answer, with nothing of the last one's."""
        self._arranged = (origin, on_bench)
        practice = origin is Origin.PRACTICE
        self.sentence.show_text(_PRACTICE if practice else _PROBE)
        for part in (self.question, self.rebind, self.power_button):
            part.setVisible(not practice)
        self.question.show_answer(on_bench)
        if any(line.button.hasFocus() for line in self.lines.values()):
            self.setFocus()  # else Qt hands the keyboard on and scrolls to wherever that is
        for gone in self.lines.values():
            self._take_off(gone)
        self.lines = {row.line: self._line(row) for row in rows}
        for place, made in enumerate(self.lines.values(), start=_FIRST):
            self.task.insertWidget(place, made)
        if self._begins and self.lines and self.isVisible():
            self._begins = False
            first = self.lines[rows[0].line]
            first.show()  # its layout would do so later: only what is visible takes the keyboard
            first.button.setFocus()

    def _advise(self, told: tuple[SafetyWords, ...], *, below: int) -> None:
        """Show what else holds on this bench, below so many lines."""
        if self.advice is not None:
            self._take_off(self.advice)
        self.advice = Advice(told) if told else None
        if self.advice is not None:
            self.task.insertWidget(_FIRST + below, self.advice)

    def _take_off(self, gone: QWidget) -> None:
        self.task.removeWidget(gone)
        gone.hide()
        gone.deleteLater()

    def _line(self, row: SafetyRow) -> ConfirmLine:
        signal = row.signal.value if row.signal else ""
        made = ConfirmLine(row.line, row.act, signal=signal, note=row.note, grave=row.grave)
        made.answered.connect(self._answer)
        return made

    @Slot()
    def powered_up(self) -> None:
        """Ask every line anew: whatever was so before may be otherwise now."""
        self._workbench.wish(PoweredUp())

    @Slot(str)
    def _say_on_bench(self, on_bench: str) -> None:
        self._answered, self._begins = set(), True
        self._workbench.wish(SayOnBench(on_bench=on_bench))

    @Slot(str, bool)
    def _answer(self, line: str, yes: bool) -> None:
        if yes:
            self._answered.add(line)
        else:
            self._answered.discard(line)
        self._workbench.confirm(line, yes=yes)
        if yes:
            self._go_to_next(self.lines[line])

    def _go_to_next(self, done: ConfirmLine) -> None:
        """Give the keyboard to the next line to confirm, else to Next once it can be pressed.

        What the keyboard goes to is scrolled into view, but never while the pointer presses: the lines would move
        under it.
        """
        names = list(self.lines)
        place = names.index(done.line)
        around = (*names[place + 1 :], *names[:place])
        following = next((self.lines[name] for name in around if not self.lines[name].button.isChecked()), None)
        if following is None:
            self._going_on = True
            return
        following.button.setFocus()
        if not done.button.by_pointer:
            self.scroller.ensureWidgetVisible(following)
