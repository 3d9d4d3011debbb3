"""Open a capture: which column is what, with a preview of the lanes."""

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QLineEdit, QPushButton, QWidget

from benchapp.presentation.screens.capture_words import (
    PICK_UPS,
    TEST_QUESTION,
    TIME_UNITS,
    capture_sentence,
    captured_tests,
    what_is_missing,
)
from benchapp.records.named_tests import times_flips
from benchapp.records.run import PickUp
from benchapp.ui.link.live_leads import LiveLeads
from benchapp.ui.look.theme import Theme
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.screens.captures.lead_row import CaptureLeadRow
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.choice_box import ChoiceBox
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.number_field import NumberField
from benchapp.ui.widgets.page import PageFrame
from benchapp.ui.widgets.wrap_row import WrapRow

if TYPE_CHECKING:
    from benchapp.desk.importing import ImportOrder
    from benchapp.desk.preview import CapturePreview

_MOST_SKIPPED = 100_000
_COLUMNS = frozenset({".csv", ".tsv", ".txt"})


class CapturePage(PageFrame):
    """Asks what each lead of a capture was clipped to; `read` asks for a preview, `make` for the session."""

    read = Signal(object)
    make = Signal(object)
    leave = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__("Open a capture")
        self._theme = theme
        self.path = Path()
        self.rows: list[CaptureLeadRow] = []
        self._clips: dict[str, tuple[str, bool, str]] = {}
        self.task.addWidget(self._what_fields())
        self.columns = self._column_fields()
        self.task.addWidget(self.columns)
        self._where = self.task.count()
        self.task.addStretch(1)
        self.reason = PlainLabel("", Type.BODY, soft=True, wrap=True)
        self.back_button = button("Back")
        self.back_button.clicked.connect(self.leave)
        self.make_button = button("Make a session of it", Kind.MAIN)
        self.make_button.clicked.connect(self._make)
        self.foot.addWidget(self.back_button)
        self.foot.addWidget(self.reason, 1)
        self.foot.addWidget(self.make_button)

    def main_button(self) -> QPushButton | None:
        """Return the button that makes the session."""
        return self.make_button

    def _what_fields(self) -> QWidget:
        holder = QWidget()
        row = WrapRow(spacing=Space.MEDIUM)
        self.test = ChoiceBox()
        self.test.setAccessibleName("The test this capture holds")
        for key, words in captured_tests():
            self.test.addItem(words, key)
        self.test.currentIndexChanged.connect(self._test_chosen)
        self.pick_up_words = PlainLabel("Flips taken from", Type.BODY)
        self.pick_up = ChoiceBox()
        self.pick_up.setAccessibleName("How the flip reached the instrument")
        for how, words in PICK_UPS:
            self.pick_up.addItem(words, how)
        for label, box in ((PlainLabel(TEST_QUESTION, Type.BODY), self.test), (self.pick_up_words, self.pick_up)):
            row.addWidget(label)
            row.addWidget(box)
        row.addStretch(1)
        holder.setLayout(row)
        return holder

    @Slot()
    def _test_chosen(self) -> None:
        flips = times_flips(str(self.test.currentData()))
        for widget in (self.pick_up_words, self.pick_up):
            widget.setVisible(flips)
        self._judge()

    def _column_fields(self) -> QWidget:
        holder = QWidget()
        row = WrapRow(spacing=Space.MEDIUM)
        self.time_column = QLineEdit()
        self.time_column.setPlaceholderText("time_s")
        self.time_column.setAccessibleName("Name of the time column")
        self.unit = ChoiceBox()
        self.unit.setAccessibleName("Unit of the time column")
        self.unit.addItems(TIME_UNITS)
        self.skip = NumberField(0, least=0, most=_MOST_SKIPPED)
        self.skip.setAccessibleName("Lines to pass over before the header")
        again = button("Read again", name="Read the file again")
        again.clicked.connect(self.ask)
        for words, widget in (
            ("Time column", self.time_column),
            ("in", self.unit),
            ("Lines before the header", self.skip),
        ):
            row.addWidget(PlainLabel(words, Type.BODY))
            row.addWidget(widget)
        row.addWidget(again)
        row.addStretch(1)
        holder.setLayout(row)
        return holder

    def open_file(self, path: Path) -> None:
        """Begin with a capture's file."""
        self.path = path
        self._clips = {}
        self.time_column.clear()
        self.unit.setCurrentIndex(0)
        self.skip.set_value(0)
        self.test.setCurrentIndex(0)
        self.pick_up.setCurrentIndex(0)
        self.columns.setVisible(path.suffix.lower() in _COLUMNS)
        self.title.show_text("Open a capture")
        self._say(f"Reading {path.name[:120]} …")
        self._clear()
        self.ask()

    @Slot()
    def ask(self) -> None:
        """Ask for a preview of the file as the fields say."""
        self._remember()
        self.read.emit(self.order(Path("preview.t2h")))

    def order(self, out: Path) -> "ImportOrder":
        """Return the import the page describes."""
        # only whoever opens a capture waits for its readers to be loaded
        from benchapp.desk.importing import ImportOrder  # noqa: PLC0415

        time = self.time_column.text().strip()
        named = {row.lead.name: row for row in self.rows}
        kept = {name: volts for name, (_, _, volts) in self._clips.items() if volts}
        return ImportOrder(
            capture=self.path,
            test=str(self.test.currentData()),
            out=out,
            leads={name: row.chosen_role() for name, row in named.items() if row.chosen_role()},
            invert=tuple(name for name, row in named.items() if row.turn.isChecked()),
            time=f"{time}:{self.unit.currentText()}" if time else None,
            skip=self.skip.value() if self.columns.isVisibleTo(self) else 0,
            pick_up=self._pick_up(),
            threshold_words=tuple(f"{name}={volts}" for name, volts in kept.items()),
        )

    def _pick_up(self) -> PickUp | None:
        chosen = self.pick_up.currentData()
        return PickUp(chosen) if chosen and times_flips(str(self.test.currentData())) else None

    def show_preview(self, preview: "CapturePreview") -> None:
        """Show what the file holds."""
        self._clear()
        self._say(capture_sentence(preview.seconds, len(preview.leads)))
        live = LiveLeads()
        live.take([preview.stretch, *preview.records])
        for number, lead in enumerate(preview.leads):
            row = CaptureLeadRow(self._theme, lead, live.leads[lead.lead.index], preview)
            role, turned, volts = self._clips.get(lead.name, ("", False, ""))
            row.take_over(role, turned=turned, volts=volts)
            row.changed.connect(self._judge)
            row.reread.connect(self.ask)
            self.rows.append(row)
            self.task.insertWidget(self._where + number, row)
        self._judge()

    def show_refusal(self) -> None:
        """Show that the file could not be read so; the reason stands in the bar."""
        self._say("The file could not be read like this. Change what is said of it, or choose another.")

    def _say(self, words: str) -> None:
        self.sentence.show_text(words)
        self.sentence.show()

    def _clear(self) -> None:
        for row in self.rows:
            self.task.removeWidget(row)
            row.deleteLater()
        self.rows = []
        self._judge()

    def _remember(self) -> None:
        for row in self.rows:
            self._clips[row.lead.name] = (row.chosen_role(), row.turn.isChecked(), row.volts_typed())

    @Slot()
    def _judge(self) -> None:
        roles = [row.chosen_role() for row in self.rows]
        missing = what_is_missing(roles, str(self.test.currentData())) if self.rows else "Nothing is read yet."
        self.reason.show_text(missing)
        self.make_button.setEnabled(not missing)

    @Slot()
    def _make(self) -> None:
        self._remember()
        self.make.emit(self.order(Path()))
