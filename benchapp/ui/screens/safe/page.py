"""Make it safe: every line is confirmed by itself before anything runs."""

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QPushButton

from benchapp.acquisition.status import Status
from benchapp.acquisition.wishes import PoweredUp
from benchapp.presentation.ground.safety import MANUALS_WIN, REBIND
from benchapp.presentation.screens.safety_view import SafetyRow, safety_left, safety_rows
from benchapp.records.run import Origin
from benchapp.ui.link.workbench import Workbench
from benchapp.ui.look.tokens import Type
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.confirm_line import ConfirmLine
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.page import PageFrame

_PROBE = "Read each line and do what it says; then confirm it. There is no way to confirm them all at once."
_PRACTICE = "On the practice bench one line is enough."


class SafePage(PageFrame):
    """The checklist. What holds is kept by the recording; the page only shows it."""

    go_on = Signal()

    def __init__(self, workbench: Workbench) -> None:
        super().__init__("Make it safe", _PROBE)
        self._workbench = workbench
        self._answered: set[str] = set()
        self._shown: tuple[SafetyRow, ...] = ()
        self.lines: dict[str, ConfirmLine] = {}
        self.manuals = PlainLabel(MANUALS_WIN, Type.BODY, soft=True, wrap=True)
        self.rebind = PlainLabel(REBIND, Type.BODY, wrap=True)
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

    @Slot()
    def begin_again(self) -> None:
        """Forget every confirmation, because another bench is open."""
        self._answered = set()
        self._show_rows(Origin.PROBE, {"": ""})
        status = self._workbench.status
        if status is not None:
            self.show_status(status)

    @Slot(object)
    def show_status(self, status: Status) -> None:
        """Show what still stands in the way of a run."""
        refusals = {refusal.line.value: refusal.why.value for refusal in status.refusals}
        self._show_rows(status.origin, refusals)

    def _show_rows(self, origin: Origin, refusals: dict[str, str]) -> None:
        rows = safety_rows(origin, confirmed=self._answered, refusals=refusals)
        self.next_button.setEnabled(not refusals)
        self.power_button.setVisible(origin is not Origin.PRACTICE and bool(self._answered))
        self.rebind.setVisible(origin is not Origin.PRACTICE)
        self.left.show_text("" if "" in refusals else safety_left(refusals))
        if rows == self._shown:
            return
        if [row.line for row in rows] != [row.line for row in self._shown]:
            self._arrange(rows, origin)
        self._shown = rows
        for row in rows:
            self.lines[row.line].show_answer(confirmed=row.confirmed, why=row.why)

    def _arrange(self, rows: tuple[SafetyRow, ...], origin: Origin) -> None:
        self.sentence.show_text(_PRACTICE if origin is Origin.PRACTICE else _PROBE)
        wanted = [row.line for row in rows]
        for line in [line for line in self.lines if line not in wanted]:
            gone = self.lines.pop(line)
            self.task.removeWidget(gone)
            gone.hide()
            gone.deleteLater()
        for place, row in enumerate(rows):
            if row.line not in self.lines:
                made = ConfirmLine(row.line, row.text, signal=row.signal.value if row.signal else "")
                made.answered.connect(self._answer)
                self.lines[row.line] = made
                self.task.insertWidget(place, made)

    @Slot()
    def powered_up(self) -> None:
        """Ask every line anew: whatever was so before may be otherwise now."""
        self._workbench.wish(PoweredUp())

    @Slot(str, bool)
    def _answer(self, line: str, yes: bool) -> None:
        if yes:
            self._answered.add(line)
        else:
            self._answered.discard(line)
        self._workbench.confirm(line, yes=yes)
