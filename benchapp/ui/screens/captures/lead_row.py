"""One lead of a capture: its name, what is seen, its lane, and what it was clipped to."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt, Signal, Slot
from PySide6.QtWidgets import QCheckBox, QLineEdit, QVBoxLayout, QWidget

from benchapp.presentation.live.lead_sentences import lead_sentence
from benchapp.presentation.screens.capture_words import QUIET, role_choices
from benchapp.ui.link.lead_summary import lead_summary
from benchapp.ui.link.live_leads import LiveLead
from benchapp.ui.look.theme import Theme, scaled
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.choice_box import ChoiceBox
from benchapp.ui.widgets.decimal_validator import DecimalValidator
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.lane_trace import LaneTrace
from benchapp.ui.widgets.page import card
from benchapp.ui.widgets.wrap_row import FILL, WrapRow

if TYPE_CHECKING:
    from benchapp.desk.preview import CapturePreview, PreviewLead

_WORDS_PX, _CHOICE_PX, _LANE_PX, _LEAST_LANE_PX = 250, 190, 64, 200


class _Column(QWidget):
    """A column as wide as the letters need, the same in every row, so that the rows align."""

    def __init__(self, column: QVBoxLayout, width_px: int) -> None:
        super().__init__()
        self._width_px = width_px
        column.setContentsMargins(0, 0, 0, 0)
        self.setLayout(column)

    def sizeHint(self) -> QSize:
        """Return the width that is usual, scaled with the letters."""
        width = max(scaled(self._width_px), super().minimumSizeHint().width())
        return QSize(width, super().sizeHint().height())


class CaptureLeadRow(QWidget):
    """Lets one lead be named; `changed` tells that a choice was made, `reread` that the file must be read anew."""

    changed = Signal()
    reread = Signal()

    def __init__(self, theme: Theme, lead: "PreviewLead", live: LiveLead, preview: "CapturePreview") -> None:
        super().__init__()
        self.lead = lead
        self.role = ChoiceBox()
        self.role.setAccessibleName(f"What {lead.name} was clipped to")
        for key, words in role_choices(volts=lead.volts):
            self.role.addItem(words, key)
        self.role.setCurrentIndex(max(0, self.role.findData(lead.guess)))
        self.role.currentIndexChanged.connect(self.changed)
        self.turn = QCheckBox("Turn 0 and 1 over")
        self.turn.setAccessibleName(f"Turn 0 and 1 of {lead.name} over")
        self.threshold = QLineEdit()
        self.threshold.setPlaceholderText("on from … V")
        self.threshold.setAccessibleName(f"The voltage at which {lead.name} is on")
        self.threshold.setValidator(DecimalValidator(-1000.0, 1000.0, places=4, parent=self))
        (self.turn if lead.volts else self.threshold).hide()
        self.threshold.editingFinished.connect(self._threshold_typed)
        self._typed = ""
        self._arrange(theme, live, preview)

    def _arrange(self, theme: Theme, live: LiveLead, preview: "CapturePreview") -> None:
        frame = card()
        row = WrapRow(spacing=Space.LARGE)
        row.setContentsMargins(Space.LARGE, Space.MEDIUM, Space.LARGE, Space.MEDIUM)
        words = QVBoxLayout()
        words.setSpacing(Space.HAIR)
        name = PlainLabel(self.lead.name[:80], Type.LEAD, bold=True, wrap=True)
        summary = lead_summary(live, role=self.lead.guess, newest_ns=preview.to_ns)
        said = PlainLabel(lead_sentence(summary) if self.lead.busy else QUIET, Type.BODY, soft=True, wrap=True)
        for label in (name, said):
            words.addWidget(label)
        words.addStretch(1)
        row.addWidget(_Column(words, _WORDS_PX), alignment=FILL)
        self.trace = LaneTrace(theme, self.lead.guess)
        self.trace.setMinimumHeight(_LANE_PX)
        self.trace.setAccessibleName(f"The first flip on {self.lead.name}")
        self.trace.setMinimumWidth(_LEAST_LANE_PX)
        row.addWidget(self.trace, 1, alignment=FILL)
        choices = QVBoxLayout()
        choices.setSpacing(Space.SMALL)
        for widget in (self.role, self.turn, self.threshold):
            choices.addWidget(widget)
        choices.addStretch(1)
        row.addWidget(_Column(choices, _CHOICE_PX), alignment=FILL)
        frame.setLayout(row)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(frame)
        span_ns = max(preview.to_ns - preview.from_ns, 1)
        self.trace.draw(live, newest_ns=preview.to_ns, window_ns=span_ns, known_from_ns=preview.from_ns)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)

    def take_over(self, role: str, *, turned: bool, volts: str) -> None:
        """Show what was chosen before the file was read anew."""
        if role:
            self.role.setCurrentIndex(max(0, self.role.findData(role)))
        self.turn.setChecked(turned)
        self._typed = volts
        self.threshold.setText(volts)
        self.threshold.setVisible(self.lead.volts or bool(volts))

    def chosen_role(self) -> str:
        """Return the role that is chosen, "" for none."""
        return str(self.role.currentData())

    def volts_typed(self) -> str:
        """Return the threshold as typed, with a decimal point; "" for none."""
        return self.threshold.text().strip().replace(",", ".")

    @Slot()
    def _threshold_typed(self) -> None:
        if self.volts_typed() != self._typed:
            self._typed = self.volts_typed()
            self.reread.emit()
