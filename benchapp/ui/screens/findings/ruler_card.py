"""The human ruler on its card, drawn anew for the width it has and the speed that is chosen."""

from PySide6.QtCore import Signal, Slot
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from benchapp.presentation.ground.human_ruler import (
    FASTEST_M_PER_S,
    SLOWEST_M_PER_S,
    Flight,
    Timed,
    flown_sentence,
    human_ruler,
)
from benchapp.presentation.ground.page import Figure
from benchapp.ui.look.theme import Theme, text_scale, use_lengths
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.number_field import NumberField
from benchapp.ui.widgets.page import card
from benchapp.ui.widgets.svg_picture import SvgPicture
from benchapp.ui.widgets.wrap_row import WrapRow

_FIELD_PX = 64
_EDGES_PX = 2 * Space.LARGE


class RulerCard(QWidget):
    """Shows how far a model flies in a time found; `speed_chosen` tells another speed [m/s]."""

    speed_chosen = Signal(int)

    def __init__(self, theme: Theme, timed: Timed, flight: Flight, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._timed, self._flight = timed, flight
        self.sentence = PlainLabel("", Type.LEAD, bold=True, wrap=True)
        self.speed = NumberField(round(flight.speed_m_per_s), least=round(SLOWEST_M_PER_S), most=round(FASTEST_M_PER_S))
        self.speed.setAccessibleName("The model's speed in metres a second")
        use_lengths(self.speed, minimumWidth=_FIELD_PX, maximumWidth=_FIELD_PX)
        self.speed.changed.connect(self._use_speed)
        head = WrapRow(spacing=Space.SMALL)
        head.addWidget(self.sentence, 1, whole=True)
        head.addWidget(self.speed)
        head.addWidget(PlainLabel("m/s", Type.BODY, soft=True))
        self.picture = SvgPicture(theme, self._figure(720.0), largest=4.0)
        frame = card()
        inside = QVBoxLayout(frame)
        inside.setContentsMargins(Space.LARGE, Space.SMALL, Space.LARGE, Space.SMALL)
        inside.setSpacing(0)
        inside.addLayout(head)
        inside.addWidget(self.picture)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(frame)
        self._draw()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Draw the ruler as long as the card, its letters as large as is wished."""
        super().resizeEvent(event)
        self._draw()

    def _draw(self) -> None:
        self.sentence.show_text(flown_sentence(self._timed.value_ms, self._flight))
        self.picture.show_figure(self._figure(max(self.width() - _EDGES_PX, 300) / text_scale()))

    def _figure(self, width: float) -> Figure:
        drawn = human_ruler(self._timed.value_ms, self._flight, bands=self._timed.bands, width=width)
        if drawn is None:
            raise ValueError(f"a time of {self._timed.value_ms} ms has no ruler")
        return drawn

    @Slot(int)
    def _use_speed(self, metres_a_second: int) -> None:
        self._flight = Flight(speed_m_per_s=float(metres_a_second), chosen=True, earlier=self._flight.earlier)
        self._draw()
        self.speed_chosen.emit(metres_a_second)
