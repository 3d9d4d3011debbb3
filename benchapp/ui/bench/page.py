"""On the bench: what is under test, as far as anyone cares to note it."""

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QGridLayout, QLineEdit, QPushButton, QVBoxLayout, QWidget

from benchapp.acquisition.status import Status
from benchapp.presentation.bench_fields import NOT_NOTED, READY, UNDER_TEST
from benchapp.ui.tokens import Space, Type
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.choice_box import ChoiceBox
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.page import PageFrame, card
from benchapp.ui.workbench import Workbench

_LONGEST_FIELD = 400
_ANSWERS = (NOT_NOTED, "checked", "not possible")
_ITS_OWN = frozenset({"name", "notes"})
_OPEN = "Only a name is needed; whatever stays empty is printed as “not noted”."
_KEPT = "Kept in the session since its first test. Another session begins with Start."


class BenchPage(PageFrame):
    """Fields that go into the session when its first test starts."""

    go_on = Signal()

    def __init__(self, workbench: Workbench) -> None:
        super().__init__("On the bench", _OPEN)
        self._workbench = workbench
        self.fields: dict[str, QLineEdit] = {}
        self.answers: dict[str, ChoiceBox] = {}
        self._labels: dict[str, PlainLabel] = {}
        self._last: dict[str, str] = {}
        self.same_button = button("Same as last time", name="Copy what was noted for the last session")
        self.same_button.clicked.connect(self.carry_over)
        self.same_button.hide()
        self.head.addWidget(self.same_button)
        self.task.addWidget(self._name_card())
        self.task.addWidget(self._ready_card())
        self.task.addWidget(self._fields_card())
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
        """Fill what is still empty as it was last time, and say of each field that it was carried over."""
        for key, text in self._last.items():
            if key in self.fields and not self.fields[key].text().strip():
                self.fields[key].setText(text)
                self._mark(key, carried=True)
            elif key in self.answers and not self.answers[key].currentIndex():
                self.answers[key].setCurrentIndex(max(0, self.answers[key].findText(text)))
                self._mark(key, carried=bool(self.answers[key].currentIndex()))
        self._note()

    def _mark(self, key: str, *, carried: bool) -> None:
        """Say beside a field whether what stands in it comes from last time."""
        words = {**UNDER_TEST, **READY}.get(key, "")
        if words and key in self._labels:
            self._labels[key].show_text(f"{words} – carried over" if carried else words)

    @Slot()
    def _touched(self) -> None:
        """A field that was changed by hand is no longer carried over."""
        for key, widget in (*self.fields.items(), *self.answers.items()):
            if widget is self.sender():
                self._mark(key, carried=False)

    def _name_card(self) -> QWidget:
        frame, grid = _titled_card("Session")
        self._add_field(grid, 0, 0, "name", "Name")
        self._add_field(grid, 0, 1, "notes", "Notes")
        return frame

    def _ready_card(self) -> QWidget:
        frame, grid = _titled_card("Ready the radio")
        for row, (key, words) in enumerate(READY.items()):
            choice = ChoiceBox()
            choice.addItems(_ANSWERS)
            choice.setAccessibleName(words)
            choice.currentIndexChanged.connect(self._note)
            choice.activated.connect(self._touched)
            self.answers[key] = choice
            self._labels[key] = PlainLabel(words, wrap=True)
            grid.addWidget(self._labels[key], row, 0)
            grid.addWidget(choice, row, 1)
        grid.setColumnStretch(0, 3)
        grid.setColumnStretch(1, 1)
        return frame

    def _fields_card(self) -> QWidget:
        frame, grid = _titled_card("What is under test")
        for number, (key, words) in enumerate(UNDER_TEST.items()):
            self._add_field(grid, number // 2, number % 2, key, words)
        return frame

    def _add_field(self, grid: QGridLayout, row: int, column: int, key: str, words: str) -> None:
        field = QLineEdit()
        field.setMaxLength(_LONGEST_FIELD)
        field.setAccessibleName(words)
        field.setPlaceholderText(NOT_NOTED)
        field.editingFinished.connect(self._note)
        field.textEdited.connect(self._note)
        field.textEdited.connect(self._touched)
        self.fields[key] = field
        self._labels[key] = label = PlainLabel(words, Type.CAPTION, soft=True)
        label.setBuddy(field)
        grid.addWidget(label, 2 * row, column)
        grid.addWidget(field, 2 * row + 1, column)
        grid.setColumnStretch(column, 1)

    @Slot()
    def _note(self) -> None:
        noted = {key: field.text().strip() for key, field in self.fields.items()}
        noted |= {key: choice.currentText() for key, choice in self.answers.items() if choice.currentIndex()}
        self._workbench.bench = {key: text for key, text in noted.items() if text}

    @Slot(object)
    def show_status(self, status: Status) -> None:
        """Let nothing be changed once it is in the session."""
        self._lock(locked=bool(status.session))

    @Slot()
    def _let_write(self) -> None:
        self._lock(locked=False)

    def _lock(self, *, locked: bool) -> None:
        self.sentence.show_text(_KEPT if locked else _OPEN)
        for field in self.fields.values():
            field.setReadOnly(locked)
        for choice in self.answers.values():
            choice.setEnabled(not locked)
        self.same_button.setEnabled(not locked)


def _titled_card(title: str) -> tuple[QWidget, QGridLayout]:
    frame = card()
    column = QVBoxLayout(frame)
    column.setContentsMargins(Space.LARGE, Space.LARGE, Space.LARGE, Space.LARGE)
    column.addWidget(PlainLabel(title, Type.LEAD, bold=True))
    grid = QGridLayout()
    grid.setHorizontalSpacing(Space.LARGE)
    grid.setVerticalSpacing(Space.HAIR)
    column.addLayout(grid)
    return frame, grid
