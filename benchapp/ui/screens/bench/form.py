"""The fields of what is under test and of how the radio was readied, as they can be filled in."""

from collections.abc import Collection, Mapping

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QGridLayout, QLineEdit, QVBoxLayout, QWidget

from benchapp.presentation.ground.bench_fields import NOT_NOTED, NOTES, READY, UNDER_TEST
from benchapp.records.photo import PHOTO, photo_text
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.screens.bench.photo_card import PhotoCard
from benchapp.ui.widgets.choice_box import ChoiceBox
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.page import card

_LONGEST_FIELD = 400
_ANSWERS = (NOT_NOTED, "checked", "not possible")
_WORDS: Mapping[str, str] = {**UNDER_TEST, **READY}


class BenchForm(QWidget):
    """Holds the fields by their keys; `edited` tells of every change a person makes, `settled` once it is finished,
    `photo.changed` of a photo.

    named : the session's own name is asked as well
    """

    edited = Signal()
    settled = Signal()

    def __init__(self, *, named: bool = True, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.fields: dict[str, QLineEdit] = {}
        self.answers: dict[str, ChoiceBox] = {}
        self.labels: dict[str, PlainLabel] = {}
        self.photo = PhotoCard()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(Space.MEDIUM)
        for made in (self._session_card(named=named), self._ready_card(), self._fields_card(), self.photo):
            column.addWidget(made)

    def _session_card(self, *, named: bool) -> QWidget:
        frame, grid = _titled_card("Session")
        if named:
            self._add_field(grid, 0, 0, "name", "Name")
        self._add_field(grid, 0, int(named), NOTES, "Notes")
        return frame

    def _ready_card(self) -> QWidget:
        frame, grid = _titled_card("Ready the radio")
        for row, (key, words) in enumerate(READY.items()):
            choice = ChoiceBox()
            choice.addItems(_ANSWERS)
            choice.setAccessibleName(words)
            choice.currentIndexChanged.connect(self.edited)
            choice.activated.connect(self.settled)
            choice.activated.connect(self._touched)
            self.answers[key] = choice
            self.labels[key] = PlainLabel(words, wrap=True)
            grid.addWidget(self.labels[key], row, 0)
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
        field.editingFinished.connect(self.edited)
        field.editingFinished.connect(self.settled)
        field.textEdited.connect(self.edited)
        field.textEdited.connect(self._touched)
        self.fields[key] = field
        self.labels[key] = label = PlainLabel(words, Type.CAPTION, soft=True, wrap=True)
        label.setBuddy(field)
        grid.addWidget(label, 2 * row, column)
        grid.addWidget(field, 2 * row + 1, column)
        grid.setColumnStretch(column, 1)

    def carry_over(self, last: Mapping[str, str]) -> None:
        """Fill what is still empty as it was last time, and say of each field that it was carried over."""
        for key, text in last.items():
            if key in self.fields and not self.fields[key].text().strip():
                self.fields[key].setText(text)
                self._mark(key, carried=True)
            elif key in self.answers and not self.answers[key].currentIndex():
                self.answers[key].setCurrentIndex(max(0, self.answers[key].findText(text)))
                self._mark(key, carried=bool(self.answers[key].currentIndex()))
        self.edited.emit()

    def begin_anew(self, *, its_own: Collection[str]) -> None:
        """Begin another session: what was its own is empty, the photo is gone, everything else is carried over.

        The name, the notes and the photo belong to one session; another one in the same sitting begins without them.
        """
        for key in its_own:
            self.fields[key].clear()
        self.photo.show_photo(None)
        for key, text in self.noted().items():
            self._mark(key, carried=bool(text))
        self.edited.emit()

    def show_noted(self, noted: Mapping[str, str], photo: bytes | None) -> None:
        """Show the fields that a session holds, without telling anybody of a change."""
        for key, field in self.fields.items():
            field.setText(noted.get(key, ""))
        for key, choice in self.answers.items():
            choice.blockSignals(True)
            choice.setCurrentIndex(max(0, choice.findText(noted.get(key, ""))))
            choice.blockSignals(False)
        self.photo.show_photo(photo)

    def noted(self) -> dict[str, str]:
        """Return what is filled in, without the photo; "" for what is empty."""
        texts = {key: field.text().strip() for key, field in self.fields.items()}
        chosen = {key: choice.currentText() if choice.currentIndex() else "" for key, choice in self.answers.items()}
        return {**texts, **chosen}

    def photo_noted(self) -> dict[str, str]:
        """Return the photo as the field a session keeps it in, "" for none."""
        return {PHOTO: photo_text(self.photo.jpeg) if self.photo.jpeg is not None else ""}

    def _mark(self, key: str, *, carried: bool) -> None:
        """Say beside a field whether what stands in it comes from last time."""
        words = _WORDS.get(key, "")
        if words and key in self.labels:
            self.labels[key].show_text(f"{words} – carried over" if carried else words)

    @Slot()
    def _touched(self) -> None:
        """A field that was changed by hand is no longer carried over."""
        for key, widget in (*self.fields.items(), *self.answers.items()):
            if widget is self.sender():
                self._mark(key, carried=False)


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
