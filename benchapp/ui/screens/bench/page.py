"""On the bench: what is under test, as far as anyone cares to note it."""

from PySide6.QtCore import Signal, Slot
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QPushButton

from benchapp.acquisition.status import Status
from benchapp.acquisition.wishes import Describe
from benchapp.ui.link.workbench import Workbench
from benchapp.ui.screens.bench.form import BenchForm
from benchapp.ui.screens.bench.photo_card import dropped_photo
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.page import PageFrame

_ITS_OWN = frozenset({"name", "notes"})
_OPEN = "Only a name is needed; whatever stays empty is printed as “not noted”."
_KEPT = "Kept in the session. What is changed here goes into it too, until the session ends."


class BenchPage(PageFrame):
    """Fields that go into the session when its first test starts, and again whenever they change until it ends."""

    go_on = Signal()

    def __init__(self, workbench: Workbench) -> None:
        super().__init__("On the bench", _OPEN)
        self._workbench = workbench
        self._last: dict[str, str] = {}
        self._session = ""
        self._written: dict[str, str] = {}
        self.setAcceptDrops(True)
        self.same_button = button("Same as last time", name="Copy what was noted for the last session")
        self.same_button.clicked.connect(self.carry_over)
        self.same_button.hide()
        self.head.addWidget(self.same_button)
        self.form = BenchForm()
        self.form.edited.connect(self._note)
        self.form.settled.connect(self._amend)
        self.form.photo.changed.connect(self._note_photo)
        self.fields, self.answers, self.photo = self.form.fields, self.form.answers, self.form.photo
        self.task.addWidget(self.form)
        self.task.addStretch(1)
        self.next_button = button("Next: Leads", Kind.MAIN)
        self.next_button.clicked.connect(self.go_on)
        self.foot.addStretch(1)
        self.foot.addWidget(self.next_button)
        workbench.status_changed.connect(self.show_status)
        workbench.closed.connect(self._let_write)

    def main_button(self) -> QPushButton | None:
        """Return the button that goes on."""
        return self.next_button

    def show_last(self, last: dict[str, str]) -> None:
        """Offer what was noted for the last session: everything but its name and its notes."""
        self._last = {key: text for key, text in last.items() if key not in _ITS_OWN}
        self.same_button.setVisible(bool(self._last))

    @Slot()
    def carry_over(self) -> None:
        """Fill what is still empty as it was last time."""
        self.form.carry_over(self._last)

    @Slot()
    def _note(self) -> None:
        self._workbench.note_under_test({key: text for key, text in self.form.noted().items() if text})

    @Slot()
    def _amend(self) -> None:
        """Put what changed into the session that is being recorded; one that is still to begin gets all of it then."""
        noted = self.form.noted()
        changed = {key: text for key, text in noted.items() if text != self._written.get(key, "")}
        if self._session and changed:
            self._written = noted
            self._workbench.wish(Describe(bench=changed))

    @Slot()
    def _note_photo(self) -> None:
        """Put the photo into the session that is being recorded; one that is still to begin gets it then."""
        if self._session:
            self._workbench.wish(Describe(bench=self.form.photo_noted()))

    @Slot(object)
    def show_status(self, status: Status) -> None:
        """Say whether what is noted is in a session already."""
        if status.session != self._session:
            self._session_changed(status.session)
        self._say(kept=bool(status.session))

    def _session_changed(self, session: str) -> None:
        """Give a session that begins its photo; the next session gets neither that nor the name and the notes."""
        if self._session:
            self.form.begin_anew(its_own=_ITS_OWN)
        elif self.photo.jpeg is not None:
            self._workbench.wish(Describe(bench=self.form.photo_noted()))
        self._session = session
        self._written = self.form.noted() if session else {}

    @Slot()
    def _let_write(self) -> None:
        if self._session:
            self._session_changed("")
        self._say(kept=False)

    def _say(self, *, kept: bool) -> None:
        self.sentence.show_text(_KEPT if kept else _OPEN)
        self.same_button.setEnabled(not kept)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Take a photo wherever on the page it is dropped; anything else goes to the window."""
        if dropped_photo(event) is not None:
            event.acceptProposedAction()
        else:
            event.ignore()

    def dropEvent(self, event: QDropEvent) -> None:
        """Take the photo that was dropped."""
        path = dropped_photo(event)
        if path is not None:
            event.acceptProposedAction()
            self.photo.take(path)
