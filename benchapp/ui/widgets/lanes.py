"""Live lanes for all leads, one below the other on one time scale."""

from PySide6.QtCore import QObject, QRect, Qt, Signal, Slot
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.numbers import sentence_start
from benchapp.presentation.ground.wording import role_words
from benchapp.presentation.live.lead_sentences import LeadSummary, Seen, lead_sentence
from benchapp.presentation.live.pulse_words import PULSE_CHOICES, PULSE_QUESTION, may_be_told
from benchapp.presentation.screens.capture_words import NOT_CLIPPED, role_choices
from benchapp.records.leads import ROLES, LeadKind
from benchapp.records.run import Polarity
from benchapp.ui.link.lead_summary import lead_summary
from benchapp.ui.link.live_leads import LiveLead, LiveLeads
from benchapp.ui.look.theme import Theme, font, text_scale, use_lengths
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.choice_box import ChoiceBox
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.lane_trace import LaneTrace
from benchapp.ui.widgets.lane_view import USUAL_WINDOW_S, LaneView
from benchapp.ui.widgets.marks import RoleMark
from benchapp.ui.widgets.time_axis import TimeAxis

_NAMES_PX = 284
_COMPACT_NAMES_PX = 168
_WIRE_PX = 24
_CHAIN = ("switch", "stick", "module", "output", "horn")


def _place(role: str) -> int:
    """Return where a role stands in the chain; a lead that is clipped to nothing comes last."""
    stem = role.split("-", maxsplit=1)[0]
    return ROLES.index(stem) if stem in ROLES else len(ROLES)


class LaneRow(QObject):
    """The three things one lead has on screen: its mark, its words, its picture."""

    clip_wanted = Signal(int, str)
    pulse_told = Signal(int, object)
    wiring_wanted = Signal(str)

    def __init__(self, theme: Theme, live: LiveLead, role: str, parent: QObject) -> None:
        super().__init__(parent)
        self.lead = live.lead
        self.role = role
        self.polarity = Polarity.FIND
        self.summary: LeadSummary | None = None
        self.mark = RoleMark(theme, role)
        name, pin = sentence_start(role_words(role) if role else NOT_CLIPPED), clean(live.lead.label, limit=40)
        self.title = PlainLabel(name, Type.LEAD, bold=True)
        self.pin = PlainLabel(f"lead {pin}", Type.CAPTION, soft=True)
        self.sentence = PlainLabel("", Type.BODY, wrap=True)
        self.sentence.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.trace = LaneTrace(theme, role)
        self.trace.setAccessibleName(f"Live picture of {name}, lead {pin}")
        self.words = QWidget()
        words = QVBoxLayout(self.words)
        words.setContentsMargins(0, 0, 0, 0)
        words.setSpacing(0)
        self.clip = self._clip_choice(name, pin)
        self.pulse = self._pulse_choice(pin)
        for part in (self.title, self.clip):
            words.addWidget(part)
        words.addLayout(self._pin_row(name))
        words.addWidget(self.sentence)
        words.addSpacing(Space.HAIR)
        words.addWidget(self.pulse)
        words.addStretch(1)

    def _clip_choice(self, name: str, pin: str) -> ChoiceBox:
        """Return the box that says what the lead is clipped to; a lead that acts keeps its own."""
        box = ChoiceBox()
        box.setAccessibleName(f"What lead {pin} is clipped to")
        if self.lead.kind is not LeadKind.DRIVE:
            for role, words in role_choices(volts=self.lead.kind is LeadKind.LEVEL):
                if role != "drive":
                    box.addItem(words, role)
        if box.findData(self.role) < 0:
            box.addItem(name, self.role)
        box.setCurrentIndex(box.findData(self.role))
        box.setEnabled(box.count() > 1)
        box.activated.connect(self._clip)
        box.hide()
        return box

    def _pin_row(self, name: str) -> QHBoxLayout:
        """Return the lead's pin beside the way to how it is wired."""
        what = name[:1].lower() + name[1:] if self.role else "lead"
        self.wire = button("How do I wire this?", Kind.QUIET, name=f"How do I wire the {what}?")
        self.wire.setFont(font(Type.CAPTION))
        use_lengths(self.wire, minimumHeight=_WIRE_PX, maximumHeight=_WIRE_PX)
        self.wire.clicked.connect(self._ask_wiring)
        self.wire.hide()
        row = QHBoxLayout()
        row.setSpacing(0)
        row.addWidget(self.pin)
        row.addStretch(1)
        row.addWidget(self.wire)
        return row

    @Slot()
    def _ask_wiring(self) -> None:
        self.wiring_wanted.emit(self.role)

    def _pulse_choice(self, pin: str) -> ChoiceBox:
        """Return the box that says which state is the pulse; choosing again takes it back."""
        box = ChoiceBox()
        box.setAccessibleName(f"{PULSE_QUESTION} {pin}")
        for polarity, words in PULSE_CHOICES:
            box.addItem(words, polarity)
        box.activated.connect(self._tell_pulse)
        box.hide()
        return box

    def offer_choices(self) -> None:
        """Show the boxes: what the lead is clipped to, in place of its name, and which state is its pulse."""
        if self.clip.count() > 1:
            self.title.hide()
            self.clip.show()
        self.pulse.setVisible(may_be_told(self.role))
        self.wire.show()

    def show_polarity(self, polarity: Polarity) -> None:
        """Show which state is held to be the pulse."""
        self.polarity = polarity
        self.pulse.setCurrentIndex([choice for choice, _ in PULSE_CHOICES].index(polarity))

    @Slot(int)
    def _clip(self, index: int) -> None:
        role = str(self.clip.itemData(index))
        if role != self.role:
            self.clip_wanted.emit(self.lead.index, role)

    @Slot(int)
    def _tell_pulse(self, index: int) -> None:
        self.pulse_told.emit(self.lead.index, PULSE_CHOICES[index][0])

    def tell(self, live: LiveLead, newest_ns: int, view_ns: int) -> None:
        """Say what is seen on the lead up to newest_ns; changes are counted over what is in view."""
        self.summary = lead_summary(live, role=self.role, newest_ns=newest_ns, polarity=self.polarity, view_ns=view_ns)
        self.trace.pulses, self.trace.polarity = self.summary.seen is Seen.PULSES, self.polarity
        text = lead_sentence(self.summary)
        self.sentence.show_text(text)
        self._keep_room()
        self.trace.setAccessibleDescription(text)

    def _keep_room(self) -> None:
        """Keep room for two lines, so that lanes do not jump when a sentence grows; for more where there are more.

        Above a box of its own one is kept: four leads are then seen without scrolling.
        """
        metrics, room = self.sentence.fontMetrics(), QRect(0, 0, self.words.maximumWidth(), 0)
        told_px = metrics.boundingRect(room, Qt.TextFlag.TextWordWrap, self.sentence.text()).height()
        lines = 1 if self.pulse.isVisibleTo(self.words) else 2
        self.sentence.setMinimumHeight(max(lines * metrics.lineSpacing(), told_px))


class Lanes(QWidget):
    """One row for each lead that has something to draw, and the time scale below; compact: names without sentences.

    Wheel, drag and keys zoom and move: from then on what there was is held, until `back_to_normal` or `toggle_frozen`.
    drives: whether what the probe does itself has a row as well.
    """

    clip_wanted = Signal(int, str)
    pulse_told = Signal(int, object)
    wiring_wanted = Signal(str)
    view_changed = Signal()

    def __init__(self, theme: Theme, live: LiveLeads, *, compact: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._live = live
        self._compact = compact
        self._shape: tuple[object, ...] = ()
        self.rows: list[LaneRow] = []
        self._view = LaneView()
        self._held: LiveLeads | None = None
        self.drives = True
        self.axis = TimeAxis(theme, self)
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(Space.MEDIUM)
        self._grid.setVerticalSpacing(Space.MEDIUM if compact else Space.HAIR)
        self._grid.setColumnStretch(2, 1)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def show_live(self, live: LiveLeads, *, drives: bool = True) -> None:
        """Show the leads of this bench; drives: whether what the probe does itself has a row as well."""
        self.drives = drives
        if live is not self._live:
            self._live = live
            self._let_run()
            self._clear()
            self._shape = ()

    @property
    def window_s(self) -> float:
        """How long a time is in view, [s]."""
        return self._view.window_s

    @property
    def frozen(self) -> bool:
        """Whether the picture is held; the recording goes on either way."""
        return self._held is not None

    @property
    def _shown(self) -> LiveLeads:
        """What is looked at: what arrives, or what was held."""
        return self._live if self._held is None else self._held

    @property
    def _end_ns(self) -> int:
        return self._shown.newest_ns if self._view.end_ns is None else self._view.end_ns

    def view_range_ns(self) -> tuple[int, int]:
        """Return the span of the session's clock the lanes show."""
        newest = self._end_ns
        if not self.rows:
            return newest - self._view.window_ns, newest
        span = self.rows[0].trace.span(newest, self._view.window_ns)
        return span.from_ns, span.to_ns

    def show_roles(self, roles: dict[int, str]) -> None:
        """Arrange a row for each lead under what it is clipped to; unchanged leads stay as they are."""
        shown = self._chosen(roles)
        shape = (self._live.stretch, text_scale(), *((live.lead, roles.get(live.lead.index, "")) for live in shown))
        if shape == self._shape:
            return
        self._shape = shape
        self._clear()
        for row_number, live in enumerate(shown):
            row = LaneRow(self._theme, live, roles.get(live.lead.index, ""), self)
            row.clip_wanted.connect(self.clip_wanted)
            row.pulse_told.connect(self.pulse_told)
            row.wiring_wanted.connect(self.wiring_wanted)
            row.trace.zoom_wanted.connect(self.zoom)
            row.trace.move_wanted.connect(self.move_view)
            names_px = _COMPACT_NAMES_PX if self._compact else _NAMES_PX
            use_lengths(row.words, minimumWidth=names_px, maximumWidth=names_px)
            if self._compact:
                row.pin.hide()
                row.sentence.hide()
            else:
                row.offer_choices()
            self._grid.addWidget(row.mark, row_number, 0)
            self._grid.addWidget(row.words, row_number, 1)
            self._grid.addWidget(row.trace, row_number, 2)
            self._grid.setRowStretch(row_number, 1)
            self.rows.append(row)
        self._grid.addWidget(self.axis, len(shown), 2)
        self._grid.setRowStretch(len(shown), 0)
        self._tell()
        self._draw()

    def show_polarity(self, polarity: dict[int, Polarity]) -> None:
        """Show which state of each lead is held to be the pulse."""
        for row in self.rows:
            row.show_polarity(polarity.get(row.lead.index, Polarity.FIND))

    def _chosen(self, roles: dict[int, str]) -> list[LiveLead]:
        """Return the leads to show, in the order of the chain from thumb to horn."""
        shown = self._live.shown()
        if self._compact:
            shown = [live for live in shown if roles.get(live.lead.index, "").startswith(_CHAIN)]
        if not self.drives:
            shown = [live for live in shown if live.lead.kind is not LeadKind.DRIVE]
        return sorted(shown, key=lambda live: _place(roles.get(live.lead.index, "")))

    def _clear(self) -> None:
        for number, row in enumerate(self.rows):
            self._grid.setRowStretch(number, 0)
            for part in (row.mark, row.words, row.trace):
                self._grid.removeWidget(part)
                part.hide()
                part.deleteLater()
            row.deleteLater()
        self._grid.removeWidget(self.axis)
        self.rows = []

    def showEvent(self, event: QShowEvent) -> None:
        """Show what came while the page was not in view."""
        super().showEvent(event)
        self.draw()

    def draw(self) -> None:
        """Show the newest window, unless the picture is frozen."""
        if not self.frozen:
            self._draw()

    def _draw(self) -> None:
        leads = self._shown
        for row in self.rows:
            live = leads.leads.get(row.lead.index)
            if live is not None:
                row.trace.draw(
                    live,
                    newest_ns=self._end_ns,
                    window_ns=self._view.window_ns,
                    known_from_ns=leads.known_from_ns,
                )

    def row_of(self, role: str) -> LaneRow | None:
        """Return the row of a role, None where no lead is clipped to it."""
        return next((row for row in self.rows if row.role == role), None)

    def tell(self) -> None:
        """Say in words what is seen on each lead, unless the picture is frozen."""
        if not self.frozen:
            self._tell()

    def _tell(self) -> None:
        for row in self.rows:
            live = self._shown.leads.get(row.lead.index)
            if live is not None:
                row.tell(live, self._end_ns, self._view.window_ns)

    def _show_view(self) -> None:
        """Show another part of the past, in pictures, words and scale."""
        self._tell()
        self._draw()
        self.axis.show_window(self.window_s, ago_s=(self._shown.newest_ns - self._end_ns) / 1e9)
        self.view_changed.emit()

    @Slot()
    def toggle_frozen(self) -> None:
        """Hold the picture still, or let it run on; the recording goes on either way."""
        if self.frozen:
            self._let_run()
        else:
            self._held = self._live.copy()
        self._show_view()

    def _let_run(self) -> None:
        self._held, self._view.end_ns = None, None

    @Slot(int, float)
    def zoom(self, steps: int, share: float = 1.0) -> None:
        """Show a shorter time (steps above 0) or a longer one; held pictures keep the moment at that share."""
        if self._held is not None and self._view.end_ns is None:
            self._view.end_ns = self._held.newest_ns
        self._view.zoom(steps, share, oldest_ns=self._shown.oldest_ns, newest_ns=self._shown.newest_ns)
        self._show_view()

    @Slot(float)
    def move_view(self, share: float) -> None:
        """Hold the picture and move it by a share of its width, to later moments where it is above 0."""
        if self._held is None:
            self._held = self._live.copy()
        self._view.move(share, oldest_ns=self._held.oldest_ns, newest_ns=self._held.newest_ns)
        self._show_view()

    @Slot()
    def back_to_normal(self) -> None:
        """Show the usual window, running."""
        self._let_run()
        self.show_window(USUAL_WINDOW_S)

    def show_window(self, window_s: float) -> None:
        """Show another length of time."""
        self._view.window_s = window_s
        self._view.hold(oldest_ns=self._shown.oldest_ns, newest_ns=self._shown.newest_ns)
        self._show_view()
