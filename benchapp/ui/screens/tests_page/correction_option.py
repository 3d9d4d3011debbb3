"""A further option of a run of flips, folded away: a known delay outside the set that is taken off."""

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QLineEdit

from benchapp.presentation.flips.correction_words import (
    FEWER,
    FURTHER,
    TAKE_OFF,
    WHAT_FOR,
    TypedCorrection,
    typed_correction,
)
from benchapp.records.run_settings import MOST_CORRECTION_MS
from benchapp.ui.look.theme import use_lengths
from benchapp.ui.look.tokens import Type
from benchapp.ui.screens.tests_page.option_grid import Option
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.decimal_validator import DecimalValidator
from benchapp.ui.widgets.labels import PlainLabel

_FIELD_PX = 84
_PLACES = 6


class CorrectionOption(Option):
    """The pair of fields, shown once `further` is pressed.

    done says what the fields do, folded or not, so that nothing is taken off unseen.
    """

    changed = Signal()

    def __init__(self) -> None:
        self.take_off = _field(-MOST_CORRECTION_MS, "Take off every delay so many milliseconds")
        self.within = _field(0.0, "The delay taken off is known to within so many milliseconds, either way")
        super().__init__(TAKE_OFF, self.take_off, PlainLabel("ms, known to within ±"), self.within, PlainLabel("ms"))
        self.says.show_text(WHAT_FOR)
        self.further = button(FURTHER, Kind.QUIET)
        self.further.setCheckable(True)
        self.further.toggled.connect(self._unfold)
        self.done = PlainLabel("", Type.BODY, wrap=True)
        self.done.hide()
        for field in (self.take_off, self.within):
            field.textChanged.connect(self._say)
        self._unfold(shown=False)

    def typed(self) -> TypedCorrection:
        """Return what was typed."""
        return typed_correction(self.take_off.text(), self.within.text())

    @Slot()
    def clear(self) -> None:
        """Take nothing off: what was known of one bench is not known of the next."""
        self.take_off.clear()
        self.within.clear()

    @Slot(bool)
    def _unfold(self, shown: bool) -> None:
        self.show_option(shown=shown)
        self.further.setText(FEWER if shown else FURTHER)
        self.further.setAccessibleName(self.further.text())
        if shown:
            self.take_off.setFocus()

    @Slot()
    def _say(self) -> None:
        typed = self.typed()
        self.done.show_text(typed.sentence or typed.problem)
        self.done.setVisible(bool(self.done.text()))
        self.changed.emit()


def _field(least: float, name: str) -> QLineEdit:
    field = QLineEdit()
    field.setValidator(DecimalValidator(least, MOST_CORRECTION_MS, places=_PLACES, parent=field))
    use_lengths(field, maximumWidth=_FIELD_PX)
    field.setPlaceholderText("none")
    field.setAccessibleName(name)
    return field
