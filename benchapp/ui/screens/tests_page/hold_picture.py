"""The cloud of pulse widths while the stick is held, seen close."""

from collections.abc import Mapping

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize
from PySide6.QtGui import QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from benchapp.presentation.ground.numbers import with_unit
from benchapp.ui.link.live_leads import LiveLeads
from benchapp.ui.look.theme import Theme, font, use_lengths
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.screens.tests_page.strip_axes import Array, StripAxes
from benchapp.waveforms.pulses import servo_pulses

SPAN_S = 10.0
_LEAST_PX = 120
_LEAST_SPAN_US = 4.0
"""A steady output is not blown up until its clock's own steps look like a storm."""
_STEP_US = 4.0
_DOT_PX = 3


class HoldPicture(QWidget):
    """Draws every pulse of the last seconds by its width; whoever holds sees at once when something stirs."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._ago_s: Array = np.empty(0)
        self._us: Array = np.empty(0)
        self._since_ns = 0
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        use_lengths(self, minimumHeight=_LEAST_PX)
        self.setAccessibleName("The width of the servo pulses of the last ten seconds")
        theme.changed.connect(self.update)

    def sizeHint(self) -> QSize:
        """Return a size that suits a card."""
        return QSize(640, 180)

    def begin(self, since_ns: int) -> None:
        """Leave out what came before an instant of the session's clock: what was not held yet would set the scale."""
        self._since_ns = since_ns

    def draw(self, live: LiveLeads, roles: Mapping[int, str]) -> None:
        """Take the pulses of the last seconds of the output's lead."""
        lead = next((index for index, role in roles.items() if role == "output"), None)
        if lead is None or lead not in live.leads:
            return
        newest_ns = live.newest_ns
        edges = live.leads[lead].recent_edges(from_ns=max(newest_ns - round(SPAN_S * 1e9), self._since_ns))
        pulses = servo_pulses(edges, live.leads[lead].gaps)
        self._ago_s = (newest_ns - pulses.leading_ns) / 1e9
        self._us = pulses.durations_ns / 1e3
        self.update()

    @property
    def pulses(self) -> int:
        """How many pulses are shown."""
        return int(self._us.size)

    def limits_us(self) -> tuple[float, float]:
        """Return the widths at the lower and the upper edge, in whole steps so that the picture does not jump."""
        low, high = float(self._us.min()), float(self._us.max())
        middle, half = (low + high) / 2, max((high - low) / 2, _LEAST_SPAN_US / 2)
        steps = np.floor((middle - half) / _STEP_US), np.ceil((middle + half) / _STEP_US)
        return float(steps[0] * _STEP_US), float(steps[1] * _STEP_US)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw every pulse as a dot of the cloud, with the limits beside it."""
        painter = QPainter(self)
        painter.setFont(font(Type.CAPTION))
        room = painter.fontMetrics().height() + Space.HAIR
        rect = QRectF(self.rect()).adjusted(0, room, 0, -room)
        if not self._us.size:
            painter.end()
            return
        low, high = self.limits_us()
        axes = StripAxes(rect, span_s=SPAN_S, lowest=low, highest=high)
        for value in (low, high):
            axes.level(painter, value, self._theme.colour("control_edge"))
        painter.setPen(self._theme.colour("soft_ink"))
        axes.word(painter, with_unit(high, 0, "µs"), high)
        axes.word(painter, with_unit(low, 0, "µs"), low, below=True)
        painter.setPen(QPen(self._theme.role_colour("output"), _DOT_PX))
        cloud = zip(self._ago_s.tolist(), self._us.tolist(), strict=True)
        painter.drawPoints(QPolygonF([QPointF(axes.x(ago), axes.y(us)) for ago, us in cloud]))
        painter.end()
