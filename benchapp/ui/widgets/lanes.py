"""Live lanes for all leads, one below the other on one time scale."""

from PySide6.QtCore import Slot
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QVBoxLayout, QWidget

from benchapp.presentation.cleaning import clean
from benchapp.presentation.lead_sentences import lead_sentence
from benchapp.presentation.numbers import sentence_start
from benchapp.presentation.wording import role_words
from benchapp.records.leads import ROLES
from benchapp.ui.live_leads import LiveLead, LiveLeads
from benchapp.ui.sights import lead_sight
from benchapp.ui.theme import Theme
from benchapp.ui.tokens import Space, Type
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.lane_trace import LaneTrace
from benchapp.ui.widgets.marks import RoleMark
from benchapp.ui.widgets.time_axis import TimeAxis

USUAL_WINDOW_S = 2.0
_NAMES_PX = 250
_COMPACT_NAMES_PX = 130
_CHAIN = ("switch", "stick", "module", "output", "horn")


def _place(role: str) -> int:
    """Return where a role stands in the chain; a lead that is clipped to nothing comes last."""
    stem = role.split("-", maxsplit=1)[0]
    return ROLES.index(stem) if stem in ROLES else len(ROLES)


class LaneRow:
    """The three things one lead has on screen: its mark, its words, its picture."""

    def __init__(self, theme: Theme, live: LiveLead, role: str) -> None:
        self.lead = live.lead
        self.role = role
        self.mark = RoleMark(theme, role)
        name, pin = sentence_start(role_words(role)), clean(live.lead.label, limit=40)
        self.title = PlainLabel(name, Type.LEAD, bold=True)
        self.pin = PlainLabel(f"lead {pin}", Type.CAPTION, soft=True)
        self.sentence = PlainLabel("", Type.BODY, wrap=True)
        self.trace = LaneTrace(theme, role)
        self.trace.setAccessibleName(f"Live picture of {name}, lead {pin}")
        self.words = QWidget()
        words = QVBoxLayout(self.words)
        words.setContentsMargins(0, 0, 0, 0)
        words.setSpacing(0)
        for part in (self.title, self.pin, self.sentence):
            words.addWidget(part)
        words.addStretch(1)

    def tell(self, live: LiveLead, newest_ns: int) -> None:
        """Say what is seen on the lead."""
        text = lead_sentence(lead_sight(live, role=self.role, newest_ns=newest_ns))
        self.sentence.show_text(text)
        self.trace.setAccessibleDescription(text)


class Lanes(QWidget):
    """One row for each lead that has something to draw, and the time scale below; compact: names without sentences."""

    def __init__(self, theme: Theme, live: LiveLeads, *, compact: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._live = live
        self._compact = compact
        self._shape: tuple[object, ...] = ()
        self.rows: list[LaneRow] = []
        self.window_s = USUAL_WINDOW_S
        self.frozen = False
        self.axis = TimeAxis(theme, self)
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(Space.MEDIUM)
        self._grid.setVerticalSpacing(Space.MEDIUM)
        self._grid.setColumnStretch(2, 1)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def show_live(self, live: LiveLeads) -> None:
        """Show other leads: those of another bench."""
        if live is not self._live:
            self._live = live
            self._clear()
            self._shape = ()

    def view_range_ns(self) -> tuple[int, int]:
        """Return the span of the session's clock the lanes show."""
        newest = self._live.newest_ns
        if not self.rows:
            return newest - int(self.window_s * 1e9), newest
        span = self.rows[0].trace.span(newest, int(self.window_s * 1e9))
        return span.from_ns, span.to_ns

    def show_roles(self, roles: dict[int, str]) -> None:
        """Arrange a row for each lead under what it is clipped to; unchanged leads stay as they are."""
        shown = self._chosen(roles)
        shape = (self._live.stretch, *((live.lead, roles.get(live.lead.index, live.lead.role)) for live in shown))
        if shape == self._shape:
            return
        self._shape = shape
        self._clear()
        for row_number, live in enumerate(shown):
            row = LaneRow(self._theme, live, roles.get(live.lead.index, live.lead.role))
            row.words.setFixedWidth(_COMPACT_NAMES_PX if self._compact else _NAMES_PX)
            if self._compact:
                row.pin.hide()
                row.sentence.hide()
            self._grid.addWidget(row.mark, row_number, 0)
            self._grid.addWidget(row.words, row_number, 1)
            self._grid.addWidget(row.trace, row_number, 2)
            self._grid.setRowStretch(row_number, 1)
            self.rows.append(row)
        self._grid.addWidget(self.axis, len(shown), 2)
        self._grid.setRowStretch(len(shown), 0)
        self.draw()
        self.tell()

    def _chosen(self, roles: dict[int, str]) -> list[LiveLead]:
        """Return the leads to show, in the order of the chain from thumb to horn."""
        shown = self._live.shown()
        if self._compact:
            shown = [live for live in shown if roles.get(live.lead.index, live.lead.role).startswith(_CHAIN)]
        return sorted(shown, key=lambda live: _place(roles.get(live.lead.index, live.lead.role)))

    def _clear(self) -> None:
        for number, row in enumerate(self.rows):
            self._grid.setRowStretch(number, 0)
            for part in (row.mark, row.words, row.trace):
                self._grid.removeWidget(part)
                part.hide()
                part.deleteLater()
        self._grid.removeWidget(self.axis)
        self.rows = []

    def showEvent(self, event: QShowEvent) -> None:
        """Show what came while the page was not in view."""
        super().showEvent(event)
        self.draw()

    def draw(self) -> None:
        """Show the newest window, unless the picture is frozen."""
        if self.frozen:
            return
        for row in self.rows:
            live = self._live.leads.get(row.lead.index)
            if live is not None:
                row.trace.draw(
                    live,
                    newest_ns=self._live.newest_ns,
                    window_ns=int(self.window_s * 1e9),
                    known_from_ns=self._live.known_from_ns,
                )

    def tell(self) -> None:
        """Say in words what is seen on each lead, unless the picture is frozen."""
        if self.frozen:
            return
        for row in self.rows:
            live = self._live.leads.get(row.lead.index)
            if live is not None:
                row.tell(live, self._live.newest_ns)

    @Slot()
    def toggle_frozen(self) -> None:
        """Hold the picture still, or let it run on; the recording goes on either way."""
        self.frozen = not self.frozen

    @Slot()
    def back_to_normal(self) -> None:
        """Show the usual window, running."""
        self.frozen = False
        self.show_window(USUAL_WINDOW_S)

    def show_window(self, window_s: float) -> None:
        """Show another length of time."""
        self.window_s = window_s
        self.axis.show_window(window_s)
        self.draw()
