"""Put it back: each thing that was changed for the test is ticked by itself once it is undone."""

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QPushButton

from benchapp.acquisition.status import Status
from benchapp.acquisition.wishes import PutBack
from benchapp.presentation.ground.safety import PUT_BACK, PUT_BACK_NOTE
from benchapp.ui.link.workbench import Workbench
from benchapp.ui.look.tokens import Type
from benchapp.ui.widgets.confirm_line import ConfirmLine
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.page import PageFrame

_SENTENCE = f"A radio changed for a test is not ready to fly. Confirm each line once it is done. {PUT_BACK_NOTE}"
_NO_SESSION = "There is no session to note this in yet. It begins with the first test."
_PRACTICE = "Practice: nothing was changed, so there is nothing to put back. The lines are here to be seen."


class PutBackPage(PageFrame):
    """The last checklist; what is ticked goes into the session and its report."""

    def __init__(self, workbench: Workbench) -> None:
        super().__init__("Put it back", _SENTENCE)
        self._workbench = workbench
        self._session = ""
        self.note = PlainLabel("", Type.BODY, bold=True, wrap=True)
        self.task.addWidget(self.note)
        self.lines: dict[str, ConfirmLine] = {}
        for key, text in PUT_BACK.items():
            line = ConfirmLine(key, text)
            line.answered.connect(self._answer)
            self.lines[key] = line
            self.task.addWidget(line)
        self.task.addStretch(1)
        workbench.status_changed.connect(self.show_status)
        workbench.closed.connect(self.show_no_bench)
        self.show_no_bench()

    def main_button(self) -> QPushButton | None:
        """Return nothing: every line is pressed by itself."""
        return None

    @property
    def done(self) -> bool:
        """Whether every line of the list is confirmed."""
        return all(line.button.isChecked() for line in self.lines.values())

    @Slot()
    def show_no_bench(self) -> None:
        """Show that there is nothing to note the answers in."""
        self._show(session="", practice=False)

    @Slot(object)
    def show_status(self, status: Status) -> None:
        """Show whether there is a session to note the answers in."""
        self._show(session=status.session, practice=self._workbench.practising)

    def _show(self, *, session: str, practice: bool) -> None:
        if session != self._session:
            self._session = session
            for line in self.lines.values():
                line.show_answer(confirmed=False)
        self.note.show_text(_PRACTICE if practice else "" if session else _NO_SESSION)
        self.note.setVisible(bool(self.note.text()))
        for line in self.lines.values():
            line.button.setEnabled(bool(session))

    @Slot(str, bool)
    def _answer(self, key: str, yes: bool) -> None:
        self._workbench.wish(PutBack(line=key, answer="yes" if yes else "no"))
        self.lines[key].show_answer(confirmed=yes)
