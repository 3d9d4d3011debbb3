"""The live picture of one lead: an unscaled image of pixel columns, the newest at the right edge.

Servo pulses whose edges would run into each other are drawn by their length over time: as a barcode they would beat
with the screen's columns, and a flip could not be seen. Nearer they are drawn as they are, with their lengths.
"""

from dataclasses import dataclass, replace

import numpy as np
from PySide6.QtCore import QEvent, QRectF, QSize, Qt, Signal, Slot
from PySide6.QtGui import QImage, QMouseEvent, QPainter, QPaintEvent, QPen, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from benchapp.presentation.live.reading_words import (
    TOO_DENSE,
    length_mark,
    pulse_length,
    pulse_reading,
    state_reading,
    volt_mark,
    volt_reading,
)
from benchapp.records.run import Polarity
from benchapp.ui.link.kept_pulses import KeptPulses
from benchapp.ui.link.live_leads import LiveLead
from benchapp.ui.look.theme import Theme
from benchapp.ui.look.tokens import Space
from benchapp.ui.widgets.lane_marks import LaneMarks, Reading, draw_marks, draw_reading
from benchapp.waveforms.columns import (
    BOTH,
    ColumnSpan,
    LaneInk,
    Pixels,
    columns_ending_at,
    edge_codes,
    level_extents,
    paint_codes,
    paint_extents,
)
from benchapp.waveforms.pulse_lane import LEAST_PX, length_limits_ms, pulse_lengths, too_close
from benchapp.waveforms.pulses import Pulses

_DENSE_SHARE = 0.5
"""Where more of the columns recorded than this hold changes, single ones cannot be told apart."""
_BEFORE_NS = 200_000_000
"""Pulses from before the window say how long the first one in view is, and which state is the pulse."""
_NOTCH = 120
"""What a wheel turns for one notch."""
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
    """Draws a window of one lead, and asks for another where it is turned at or dragged.

    pulses : whether the lead is known to carry servo pulses; polarity : what was said of them
    as_lengths : whether it drew their lengths last
    """

    zoom_wanted = Signal(int, float)
    move_wanted = Signal(float)

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
        self.setMouseTracking(True)
        self.pulses = False
        self.polarity = Polarity.FIND
        self.as_lengths = False
        self.marks = LaneMarks()
        self._kept = KeptPulses()
        self._seen: Pulses | None = None
        self._hover: float | None = None
        self._drag_x: float | None = None
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
        self.marks.forget()
        self._seen, self.as_lengths = None, False
        if live.volts.times_ns.size:
            self._draw_volts(live, lane, span)
        else:
            self._seen = self._pulses_in(live, span)
            self.as_lengths = self._seen is not None and too_close(self._seen, self._ns_a_px(span))
            if self._seen is not None and self.as_lengths:
                self._draw_lengths(live, lane, span, self._seen)
            else:
                self._draw_edges(live, lane, span, newest_ns, known_from_ns)
        self.update()

    def _ns_a_px(self, span: ColumnSpan) -> float:
        return span.column_ns * self.devicePixelRatioF()

    def _pulses_in(self, live: LiveLead, span: ColumnSpan) -> Pulses | None:
        """Return the servo pulses in view and just before, None where the lead carries none."""
        if not self.pulses:
            return None
        return self._kept.find(live, self.polarity, span.from_ns - _BEFORE_NS, span.to_ns)

    def _draw_edges(self, live: LiveLead, lane: Pixels, span: ColumnSpan, newest_ns: int, known_from_ns: int) -> None:
        codes = edge_codes(
            live.edges.times_ns,
            live.edges.values,
            span,
            known_from_ns=known_from_ns,
            known_to_ns=newest_ns,
            gaps_ns=[(gap.from_ns, gap.to_ns) for gap in live.gaps],
        )
        ink = self._ink()
        if int(np.count_nonzero(codes == BOTH)) > _DENSE_SHARE * int(np.count_nonzero(codes)):
            self.marks.note = TOO_DENSE
            ink = replace(ink, line=ink.fill)
        paint_codes(lane, codes, ink)
        if self._seen is not None:
            self._write_lengths(self._seen, span)

    def _draw_lengths(self, live: LiveLead, lane: Pixels, span: ColumnSpan, pulses: Pulses) -> None:
        """Draw pulse length over time, with its scale; missing records as everywhere, a glitch as a short bar below."""
        times_ns, lengths_ms = pulse_lengths(pulses, live.gaps)
        lowest, highest = length_limits_ms(lengths_ms)
        low, high = level_extents(times_ns, lengths_ms, span)
        ink = self._ink()
        paint_extents(lane, low, high, ink, lowest=lowest, highest=highest)
        bounds = span.bounds_ns()
        for gap in live.gaps:
            lane[:, (bounds[1:] > gap.from_ns) & (bounds[:-1] <= gap.to_ns)] = ink.missing
        glitches = (pulses.glitches_ns - span.from_ns) // span.column_ns
        lane[-lane.shape[0] // 6 :, glitches[(glitches >= 0) & (glitches < span.count)]] = ink.line
        self.marks.scale = ((1.0, length_mark(highest)), (0.0, length_mark(lowest)))

    def _write_lengths(self, pulses: Pulses, span: ColumnSpan) -> None:
        """Note the length of every pulse in view, and how much room there is behind it."""
        for number in range(pulses.count):
            end = self._x(int(pulses.trailing_ns[number]), span)
            after = number + 1 < pulses.count
            following = self._x(int(pulses.leading_ns[number + 1]), span) if after else float(self.width())
            if end >= 0 and following <= self.width():
                text = pulse_length(float(pulses.durations_ns[number]) / 1e6)
                self.marks.lengths.append((end, following - end, text))

    def _draw_volts(self, live: LiveLead, lane: Pixels, span: ColumnSpan) -> None:
        low, high = level_extents(live.volts.times_ns, live.volts.values, span)
        highest = live.lead.full_scale_v or max(float(live.volts.values.max()), 1.0)
        lowest = min(0.0, float(live.volts.values.min()))
        paint_extents(lane, low, high, self._ink(), lowest=lowest, highest=highest)
        self.marks.scale = ((1.0, volt_mark(highest)), (0.0, volt_mark(lowest)))

    def _x(self, at_ns: int, span: ColumnSpan) -> float:
        """Return where a moment stands, in logical pixels."""
        return (at_ns - span.from_ns) / self._ns_a_px(span)

    def reading(self, x: float) -> Reading | None:
        """Return what is under the pointer at x: a pulse's length, volts, or how long the lead stood so."""
        if self._last is None:
            return None
        span = self.span(self._last.newest_ns, self._last.window_ns)
        at_ns = span.from_ns + round(x * self._ns_a_px(span))
        live = self._last.live
        if live.volts.times_ns.size:
            place = int(np.searchsorted(live.volts.times_ns, at_ns, side="right")) - 1
            return None if place < 0 else Reading(text=volt_reading(float(live.volts.values[place])), left=x, right=x)
        if self._seen is not None:
            return self._pulse_under(self._seen, at_ns, span)
        return self._state_under(live, at_ns, span)

    def _pulse_under(self, pulses: Pulses, at_ns: int, span: ColumnSpan) -> Reading | None:
        """Return the pulse at a moment; where lengths are drawn, the one whose length is drawn there."""
        place = int(np.searchsorted(pulses.leading_ns, at_ns, side="right")) - 1
        if place < 0:
            return None
        left, right = (self._x(int(edge[place]), span) for edge in (pulses.leading_ns, pulses.trailing_ns))
        if not self.as_lengths and at_ns > pulses.trailing_ns[place] + LEAST_PX * self._ns_a_px(span):
            return None
        text = pulse_reading(float(pulses.durations_ns[place]) / 1e6)
        return Reading(text=text, left=left, right=left if self.as_lengths else right)

    def _state_under(self, live: LiveLead, at_ns: int, span: ColumnSpan) -> Reading | None:
        times = live.edges.times_ns
        after = int(np.searchsorted(times, at_ns, side="right"))
        if not 0 < after < times.size or self.marks.note:
            return None
        left, right = (int(times[place]) for place in (after - 1, after))
        text = state_reading(high=bool(live.edges.values[after - 1]), seconds=(right - left) / 1e9)
        return Reading(text=text, left=self._x(left, span), right=self._x(right, span))

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom where the pointer is; with Shift, or a wheel that tilts, move."""
        turned = event.angleDelta()
        notches = (turned.y() or turned.x()) / _NOTCH
        if (turned.x() and not turned.y()) or event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            self.move_wanted.emit(-notches / 8)
        elif notches:
            self.zoom_wanted.emit(round(notches) or (1 if notches > 0 else -1), event.position().x() / self.width())
        event.accept()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin to drag the picture."""
        if event.button() is Qt.MouseButton.LeftButton:
            self._drag_x = event.position().x()
            self.setCursor(Qt.CursorShape.ClosedHandCursor)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Let the picture go."""
        self._drag_x = None
        self.unsetCursor()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag the picture, or read what is under the pointer."""
        x = event.position().x()
        if self._drag_x is not None and x != self._drag_x:
            self.move_wanted.emit((self._drag_x - x) / max(self.width(), 1))
            self._drag_x = x
        self._hover = x
        self.update()

    def leaveEvent(self, event: QEvent) -> None:
        """Read nothing any more."""
        self._hover = None
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Copy the image to the screen, pixel by pixel."""
        painter = QPainter(self)
        painter.drawImage(0, 0, self._image)
        room = QRectF(self.rect()).adjusted(0, Space.SMALL, 0, -Space.SMALL)
        draw_marks(painter, self._theme, room, self.marks)
        under = None if self._hover is None else self.reading(self._hover)
        if under is not None:
            draw_reading(painter, self._theme, room, under)
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
