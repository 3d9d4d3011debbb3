"""One flip as a picture: the switch's edge, the shaded span, the answering pulse."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QLineF, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from benchapp.presentation.live.last_flip import NO_ANSWER, OUTPUT_NAME, FlipDrawn, PulseDrawn
from benchapp.ui.look.theme import Theme, font, use_lengths
from benchapp.ui.look.tokens import Space, Type

_LEAST_PX = 116
_SPAN_SHARE, _ANSWER_SHARE = 0.14, 0.4
"""How much of the colour tints the span, and fills the answering pulse."""
_TICK_PX = 6.0
_PEN_PX = 2
_NAMED_ABOVE_BELOW = 5
"""Names that would take more than this part of the width stand above the lanes."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Places:
    """Where things stand: the x of a moment, and the heights of both lanes, of the lengths and of the bracket.

    names : where the lanes' names are written, beside them or, where there is little width, above
    """

    left: float
    right: float
    from_ms: float
    to_ms: float
    names: tuple[QRectF, QRectF]
    control: tuple[float, float]
    output: tuple[float, float]
    lengths: QRectF
    bracket_y: float

    def x(self, at_ms: float) -> float:
        """Return where a moment [ms after the flip] stands, held inside the picture."""
        share = (at_ms - self.from_ms) / (self.to_ms - self.from_ms)
        return self.left + min(max(share, 0.0), 1.0) * (self.right - self.left)


class FlipPicture(QWidget):
    """Draws the flip it was given, and nothing else until it is given another."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self.flip: FlipDrawn | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        use_lengths(self, minimumHeight=_LEAST_PX)
        self.setAccessibleName("The last flip: the switch, the servo pulses, and the time between them")
        theme.changed.connect(self.update)

    def sizeHint(self) -> QSize:
        """Return a size that suits a card."""
        return QSize(560, 160)

    def show_flip(self, flip: FlipDrawn | None) -> None:
        """Show another flip; None shows an empty picture."""
        self.flip = flip
        self.update()

    def places(self) -> Places:
        """Return where things stand in a picture of this size; there must be a flip."""
        assert self.flip is not None
        small, large = QFontMetricsF(font(Type.CAPTION)), QFontMetricsF(font(Type.BODY))
        named = max(large.horizontalAdvance(name) for name in (self.flip.name, OUTPUT_NAME)) + Space.MEDIUM
        above = large.height() if self.width() < _NAMED_ABOVE_BELOW * named else 0.0
        bracket_y = self.height() - _TICK_PX - _PEN_PX
        top, bottom = 2.0 * _PEN_PX + above, bracket_y - _TICK_PX - Space.HAIR
        lane = (bottom - top - Space.SMALL - above - small.height() - Space.HAIR) / 2
        lengths_y = bottom - lane - Space.HAIR - small.height()
        left = float(_PEN_PX) if above else named
        wide, high = (float(self.width()), above) if above else (named, lane)
        names_y = (0.0, lengths_y - above) if above else (top, bottom - lane)
        return Places(
            left=left,
            right=float(self.width() - _PEN_PX),
            from_ms=self.flip.from_ms,
            to_ms=self.flip.to_ms,
            names=(QRectF(0, names_y[0], wide, high), QRectF(0, names_y[1], wide, high)),
            control=(top, top + lane),
            output=(bottom - lane, bottom),
            lengths=QRectF(0, lengths_y, self.width(), small.height()),
            bracket_y=bracket_y,
        )

    def written_lengths(self) -> list[tuple[QRectF, PulseDrawn]]:
        """Return the lengths that are written and where: the answering pulse's first, others where there is room."""
        if self.flip is None:
            return []
        places, metrics = self.places(), QFontMetricsF(font(Type.CAPTION, bold=True))
        written: list[tuple[QRectF, PulseDrawn]] = []
        for pulse in sorted(self.flip.pulses, key=lambda pulse: (not pulse.answer, pulse.begin_ms)):
            middle = (places.x(pulse.begin_ms) + places.x(pulse.end_ms)) / 2
            wide = metrics.horizontalAdvance(pulse.length) + Space.SMALL
            place = QRectF(middle - wide / 2, places.lengths.top(), wide, places.lengths.height())
            inside = place.left() >= places.left - Space.SMALL and place.right() <= self.width()
            if inside and not any(place.intersects(other) for other, _ in written):
                written.append((place, pulse))
        return written

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the span first, then the lines on it."""
        if self.flip is None:
            return
        painter = QPainter(self)
        places = self.places()
        self._span(painter, places, self.flip)
        self._names(painter, places, self.flip)
        self._control(painter, places, self.flip)
        self._output(painter, places, self.flip)
        self._bracket(painter, places, self.flip)
        painter.end()

    def _tint(self, name: str, share: float) -> QColor:
        colour = QColor(name)
        colour.setAlphaF(share)
        return colour

    def _span(self, painter: QPainter, places: Places, flip: FlipDrawn) -> None:
        """Shade the time between the edge and the end of the answer; without an answer it is hatched to the end."""
        left, top = places.x(0.0), 0.0
        right = places.right if flip.ends_ms is None else places.x(flip.ends_ms)
        span = QRectF(left, top, right - left, places.bracket_y - top)
        if flip.ends_ms is not None:
            painter.fillRect(span, self._tint(self._theme.tokens.action, _SPAN_SHARE))
            return
        painter.setPen(Qt.PenStyle.NoPen)
        painter.fillRect(span, self._theme.colour("hairline"))
        painter.setBrush(Qt.BrushStyle.NoBrush)

    def _names(self, painter: QPainter, places: Places, flip: FlipDrawn) -> None:
        painter.setFont(font(Type.BODY))
        painter.setPen(self._theme.colour("ink"))
        for name, place in zip((flip.name, OUTPUT_NAME), places.names, strict=True):
            flags = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextDontClip
            painter.drawText(place, flags, name)

    def _control(self, painter: QPainter, places: Places, flip: FlipDrawn) -> None:
        top, bottom = places.control
        line = [(places.x(at_ms), bottom - height * (bottom - top)) for at_ms, height in flip.control]
        self._line(painter, line, "switch")

    def _output(self, painter: QPainter, places: Places, flip: FlipDrawn) -> None:
        top, bottom = places.output
        corners = [(places.left, bottom)]
        for pulse in flip.pulses:
            begin, end = places.x(pulse.begin_ms), places.x(pulse.end_ms)
            corners += [(begin, bottom), (begin, top), (end, top), (end, bottom)]
            if pulse.answer:
                fill = self._tint(self._theme.tokens.output, _ANSWER_SHARE)
                painter.fillRect(QRectF(begin, top, end - begin, bottom - top), fill)
        self._line(painter, [*corners, (places.right, bottom)], "output")
        for place, pulse in self.written_lengths():
            painter.setFont(font(Type.CAPTION, bold=pulse.answer))
            painter.setPen(self._theme.colour("ink" if pulse.answer else "soft_ink"))
            painter.drawText(place, Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextDontClip, pulse.length)

    def _line(self, painter: QPainter, corners: Sequence[tuple[float, float]], role: str) -> None:
        """Draw a trace; not antialiased."""
        painter.setPen(QPen(self._theme.role_colour(role), _PEN_PX, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap))
        painter.drawPolyline(QPolygonF([QPointF(round(x), round(y)) for x, y in corners]))

    def _bracket(self, painter: QPainter, places: Places, flip: FlipDrawn) -> None:
        """Draw what was measured as a line with an end at either side; without an answer it is open at the right."""
        answered = flip.ends_ms is not None
        left, y = round(places.x(0.0)), places.bracket_y
        right = round(places.right if flip.ends_ms is None else places.x(flip.ends_ms))
        style = Qt.PenStyle.SolidLine if answered else Qt.PenStyle.DashLine
        painter.setPen(QPen(self._theme.colour("ink"), _PEN_PX, style))
        painter.drawLine(QLineF(left, y, right, y))
        painter.setPen(QPen(self._theme.colour("ink"), _PEN_PX))
        for x in (left, right) if answered else (left,):
            painter.drawLine(QLineF(x, y - _TICK_PX, x, y + _TICK_PX))
        if not answered:
            painter.setFont(font(Type.BODY, bold=True))
            room = QRectF(left, places.control[0], right - left - Space.SMALL, places.control[1] - places.control[0])
            painter.drawText(room, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, NO_ANSWER.lower())
