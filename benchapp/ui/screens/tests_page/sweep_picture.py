"""The moving target of a sweep, and the trace of what the stick did."""

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from benchapp.presentation.live.stick_view import StickShown
from benchapp.ui.look.theme import Theme, font, use_lengths
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.screens.tests_page.strip_axes import StripAxes

SPAN_S = 12.0
_NOW_SHARE = 0.86
_KEPT = 512
"""A run tells where the stick is at most twenty times a second: more than this is never shown."""
_LEAST_PX = 120
_RING_PX, _DOT_PX = 15.0, 7.0


class SweepPicture(QWidget):
    """A ring that shows where the stick should be, a dot where it is, and behind them where they were.

    It keeps the last moments only, in arrays of one size.
    """

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._moments = np.full((_KEPT, 3), np.nan)
        self._range: tuple[float, float] | None = None
        self._scale_v = 1.0
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        use_lengths(self, minimumHeight=_LEAST_PX)
        self.setAccessibleName("Where the stick is, and the ring it follows")
        theme.changed.connect(self.update)

    def sizeHint(self) -> QSize:
        """Return a size that suits a card."""
        return QSize(640, 180)

    def forget(self) -> None:
        """Begin an empty picture."""
        self._moments[:] = np.nan
        self._range = None
        self.update()

    def add(self, now_s: float, stick: StickShown) -> None:
        """Add where the stick is and should be at a moment; a moment that is no later than the last changes nothing."""
        if stick.at_v is None or now_s <= np.nan_to_num(self._moments[-1, 0], nan=-1.0):
            return
        self._range = None if stick.low_v is None or stick.high_v is None else (stick.low_v, stick.high_v)
        self._scale_v = stick.scale_v or self._scale_v
        self._moments[:-1] = self._moments[1:]
        self._moments[-1] = now_s, stick.at_v, np.nan if stick.target_v is None else stick.target_v
        self.setAccessibleDescription(stick.words)
        self.update()

    @property
    def moments(self) -> int:
        """How many moments are kept now."""
        return int(np.count_nonzero(np.isfinite(self._moments[:, 0])))

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the ends, both traces, the ring and the dot."""
        painter = QPainter(self)
        painter.setFont(font(Type.CAPTION))
        room = _RING_PX + painter.fontMetrics().height() + Space.HAIR
        rect = QRectF(self.rect()).adjusted(0, room, 0, -room)
        low, high = self._range or (0.0, self._scale_v)
        axes = StripAxes(rect, span_s=SPAN_S, lowest=low, highest=high, now_share=_NOW_SHARE)
        self._draw_ends(painter, axes, low, high)
        now_s, at_v, target_v = self._moments[-1]
        ago = now_s - self._moments[:, 0]
        shown = np.where(ago <= SPAN_S, 1.0, np.nan)
        soft = QPen(self._theme.colour("action"), 1, Qt.PenStyle.DashLine)
        axes.line(painter, ago, self._moments[:, 2] * shown, soft)
        axes.line(painter, ago, self._moments[:, 1] * shown, QPen(self._theme.colour("ink"), 2))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if np.isfinite(target_v):
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(self._theme.colour("action"), 4))
            painter.drawEllipse(QPointF(axes.x(0.0), axes.y(float(target_v))), _RING_PX, _RING_PX)
        if np.isfinite(at_v):
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(self._theme.colour("ink"))
            painter.drawEllipse(QPointF(axes.x(0.0), axes.y(float(at_v))), _DOT_PX, _DOT_PX)
        painter.end()

    def _draw_ends(self, painter: QPainter, axes: StripAxes, low: float, high: float) -> None:
        for value in (low, high):
            axes.level(painter, value, self._theme.colour("control_edge"))
        painter.setPen(self._theme.colour("soft_ink"))
        known = self._range is not None
        axes.word(painter, "one end" if known else "where the stick can be", high)
        axes.word(painter, "the other end" if known else " ", low, below=True)
