"""What is under test, added or corrected after the session was recorded."""

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QVBoxLayout, QWidget

from benchapp.records.run import SessionFacts
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.screens.bench.form import BenchForm
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.page_scroll import LANE_PX, PageScroll
from benchapp.ui.widgets.wrap_row import WrapRow

_SENTENCE = (
    "Whatever you change is written down beside what stood there before. What was recorded, and its evidence code, "
    "stay as they are."
)


class DescribeView(QWidget):
    """Shows a session's description to be changed; `wanted` tells the fields that are now otherwise."""

    wanted = Signal(object)
    leave = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.form = BenchForm(named=False)
        self.keep_button = button("Keep the changes", Kind.MAIN)
        self.keep_button.clicked.connect(self._keep)
        self.form.photo.busy_changed.connect(self.keep_button.setDisabled)  # or the photo would be left out
        self.back_button = button("Back", name="Back to the findings, changing nothing")
        self.back_button.clicked.connect(self.leave)
        self._noted: dict[str, str] = {}
        self._photo: bytes | None = None
        scroller = PageScroll()
        inside = QVBoxLayout()
        inside.addWidget(self.form)
        inside.addStretch(1)
        scroller.show_layout(inside)
        foot = WrapRow()
        foot.setContentsMargins(0, Space.SMALL, LANE_PX, 0)
        foot.addWidget(self.back_button)
        foot.addStretch(1)
        foot.addWidget(self.keep_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(Space.SMALL)
        column.addWidget(PlainLabel(_SENTENCE, Type.BODY, wrap=True))
        column.addWidget(scroller, 1)
        column.addLayout(foot)

    def show_facts(self, facts: SessionFacts) -> None:
        """Begin with what a session holds."""
        self._photo = facts.photo
        self.form.show_noted(facts.bench, facts.photo)
        self._noted = self.form.noted()

    def changes(self) -> dict[str, str]:
        """Return the fields that are otherwise than the session holds; "" takes a field back."""
        changed = {key: text for key, text in self.form.noted().items() if text != self._noted.get(key, "")}
        if self.form.photo.jpeg != self._photo:
            changed |= self.form.photo_noted()
        return changed

    @Slot()
    def _keep(self) -> None:
        changes = self.changes()
        if changes:
            self.wanted.emit(changes)
        else:
            self.leave.emit()
