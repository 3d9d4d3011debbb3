"""Drawing a picture whose newest moment stands near its right edge: places of times and values, lines and words."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from benchapp.ui.look.tokens import Space

Array = NDArray[np.float64]


class StripAxes:
    """Turns seconds before now and values into pixels of a rectangle; now_share is where now stands, 0 to 1."""

    def __init__(self, rect: QRectF, *, span_s: float, lowest: float, highest: float, now_share: float = 1.0) -> None:
        self.rect = rect
        self._span_s = span_s
        self._lowest = lowest
        self._height = max(highest - lowest, 1e-12)
        self._now_x = rect.left() + rect.width() * now_share

    def x(self, ago_s: float) -> float:
        """Return where a moment so long ago stands."""
        return self._now_x - ago_s * (self._now_x - self.rect.left()) / self._span_s

    def y(self, value: float) -> float:
        """Return where a value stands; one outside stands at the edge."""
        share = min(max((value - self._lowest) / self._height, 0.0), 1.0)
        return self.rect.bottom() - share * self.rect.height()

    def line(self, painter: QPainter, ago_s: Array, values: Array, pen: QPen) -> None:
        """Draw a line through values that are rising in time; NaN breaks it. Not antialiased: it is a trace."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
        painter.setPen(pen)
        known = np.isfinite(values)
        for part in _runs(known):
            pairs = zip(ago_s[part].tolist(), values[part].tolist(), strict=True)
            points = [QPointF(self.x(ago), self.y(value)) for ago, value in pairs]
            painter.drawPolyline(QPolygonF(points))

    def level(self, painter: QPainter, value: float, colour: QColor, *, dashed: bool = False) -> None:
        """Draw a level line from side to side."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
        painter.setPen(QPen(colour, 1, Qt.PenStyle.DashLine if dashed else Qt.PenStyle.SolidLine))
        painter.drawLine(QLineF(self.rect.left(), self.y(value), self.rect.right(), self.y(value)))

    def word(self, painter: QPainter, text: str, value: float, *, below: bool = False) -> None:
        """Write a word at the left, above a value's line or below it."""
        height = painter.fontMetrics().height()
        top = self.y(value) + 2 if below else self.y(value) - height - 2
        place = QRectF(self.rect.left() + Space.SMALL, top, self.rect.width(), height)
        painter.drawText(place, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, text)


def _runs(known: NDArray[np.bool_]) -> Sequence[slice]:
    """Return the stretches of at least two in which everything is known."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], known, [False]))))
    return [slice(begin, end) for begin, end in zip(edges[::2], edges[1::2], strict=True) if end - begin > 1]
