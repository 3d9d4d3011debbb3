"""The live picture of one lead: an unscaled image of pixel columns, the newest at the right edge."""

from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import QSize, Qt, Slot
from PySide6.QtGui import QImage, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from benchapp.ui.link.live_leads import LiveLead
from benchapp.ui.look.theme import Theme
from benchapp.ui.look.tokens import Space
from benchapp.waveforms.columns import (
    ColumnSpan,
    LaneInk,
    Pixels,
    columns_ending_at,
    edge_codes,
    level_extents,
    paint_codes,
    paint_extents,
)

_FILL_SHARE = 0.16
"""How much of the lead's colour tints the ground under a high level."""


@dataclass(frozen=True, slots=True, eq=False)
class _Drawn:
    """What a lane showed last, to show it again in another size or theme."""

    live: LiveLead
    newest_ns: int
    window_ns: int
    known_from_ns: int


class LaneTrace(QWidget):
    """Draws the last window of one lead. It has no axis to drag and takes no wheel: the view cannot be lost."""

    def __init__(self, theme: Theme, role: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._role = role
        self._pixels: Pixels = np.zeros((1, 1), dtype=np.uint32)
        self._image = QImage()
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumHeight(32)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._last: _Drawn | None = None
        theme.changed.connect(self._begin_picture)

    def sizeHint(self) -> QSize:
        """Return a size that suits one of a few lanes."""
        return QSize(640, 72)

    def span(self, newest_ns: int, window_ns: int) -> ColumnSpan:
        """Return the columns this picture shows when its right edge is newest_ns."""
        return columns_ending_at(newest_ns, window_ns=window_ns, count=max(1, self._pixels.shape[1]))

    def draw(self, live: LiveLead, *, newest_ns: int, window_ns: int, known_from_ns: int) -> None:
        """Compute every column anew and show it."""
        self._last = _Drawn(live, newest_ns, window_ns, known_from_ns)
        span = self.span(newest_ns, window_ns)
        lane = self._pixels[self._inset() : self._pixels.shape[0] - self._inset()]
        if lane.shape[0] < 4:
            return
        if live.volts.times_ns.size:
            self._draw_volts(live, lane, span)
        else:
            codes = edge_codes(
                live.edges.times_ns,
                live.edges.values,
                span,
                known_from_ns=known_from_ns,
                known_to_ns=newest_ns,
                gaps_ns=[(gap.from_ns, gap.to_ns) for gap in live.gaps],
            )
            paint_codes(lane, codes, self._ink())
        self.update()

    def _draw_volts(self, live: LiveLead, lane: Pixels, span: ColumnSpan) -> None:
        low, high = level_extents(live.volts.times_ns, live.volts.values, span)
        highest = live.lead.full_scale_v or max(float(live.volts.values.max()), 1.0)
        lowest = min(0.0, float(live.volts.values.min()))
        paint_extents(lane, low, high, self._ink(), lowest=lowest, highest=highest)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Copy the image to the screen, pixel by pixel."""
        painter = QPainter(self)
        painter.drawImage(0, 0, self._image)
        painter.setPen(QPen(self._theme.colour("hairline"), 1))
        painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        painter.end()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Make a new image of what was shown last."""
        ratio = self.devicePixelRatioF()
        width = max(1, round(self.width() * ratio))
        height = max(1, round(self.height() * ratio))
        self._pixels = np.empty((height, width), dtype=np.uint32)
        # The image borrows the array's memory: both are kept for as long as the picture is shown.
        self._image = QImage(self._pixels.data, width, height, width * 4, QImage.Format.Format_RGB32)
        self._image.setDevicePixelRatio(ratio)
        self._begin_picture()

    @Slot()
    def _begin_picture(self) -> None:
        self._pixels[:] = self._theme.colour("plot").rgb()
        if self._last is not None:
            last = self._last
            self.draw(last.live, newest_ns=last.newest_ns, window_ns=last.window_ns, known_from_ns=last.known_from_ns)
        self.update()

    def _inset(self) -> int:
        return round(Space.SMALL * self.devicePixelRatioF())

    def _ink(self) -> LaneInk:
        ground = self._theme.colour("plot")
        line = self._theme.role_colour(self._role)
        share = _FILL_SHARE
        mixed = [
            round(ground_part * (1 - share) + line_part * share)
            for ground_part, line_part in zip(ground.getRgb()[:3], line.getRgb()[:3], strict=True)  # type: ignore[index]
        ]
        return LaneInk(
            line=line.rgb(),
            fill=0xFF000000 | mixed[0] << 16 | mixed[1] << 8 | mixed[2],
            ground=ground.rgb(),
            missing=self._theme.colour("hairline").rgb(),
            thickness=max(1, round(1.5 * self.devicePixelRatioF())),
        )
