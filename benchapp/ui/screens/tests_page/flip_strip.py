"""All flips of a run as dots in a strip that grows with it; the newest drops into its place."""

from PySide6.QtCore import QLineF, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QFrame, QSizePolicy, QVBoxLayout, QWidget

from benchapp.presentation.live.flip_strip import ALL_FLIPS, KEY, StripDot, StripShown
from benchapp.ui.look.theme import Theme, font, use_lengths
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.wrap_row import WrapRow

FALL_FRAMES = 9
"""A third of a second: seen, and over before the hand goes on."""
_LEAST_PX = 64
_SHARES = (0.22, 0.09)
_MOST_RADIUS_PX, _LEAST_RADIUS_PX, _NEWEST_PX = 4.5, 1.5, 3.0


class StripPicture(QWidget):
    """Draws the dots; advance() is called with every status while the newest falls."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self.strip: StripShown | None = None
        self.falling = 0
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        use_lengths(self, minimumHeight=_LEAST_PX)
        self.setAccessibleName("Every flip of this run as a dot")
        theme.changed.connect(self.update)

    def sizeHint(self) -> QSize:
        """Return a size that suits a card."""
        return QSize(560, 84)

    def show_strip(self, strip: StripShown | None) -> None:
        """Show a run's flips; a new one begins to fall."""
        before = 0 if self.strip is None else len(self.strip.dots)
        now = 0 if strip is None else len(strip.dots)
        if now > before and self.strip is not None:
            self.falling = FALL_FRAMES
        self.strip = strip
        self.setAccessibleDescription("" if strip is None else strip.spoken)
        self.update()

    def advance(self) -> None:
        """Let the newest dot fall on by a thirtieth of a second."""
        if self.falling:
            self.falling -= 1
            self.update()

    def plot(self) -> QRectF:
        """Return where dots stand: right of the scale's numbers."""
        metrics = QFontMetricsF(font(Type.CAPTION))
        words = [text for _, text in self.strip.ticks] if self.strip is not None else []
        left = max((metrics.horizontalAdvance(text) for text in words), default=0.0) + Space.MEDIUM
        half = metrics.height() / 2
        return QRectF(left, half, max(self.width() - left - Space.SMALL, 1.0), max(self.height() - 2 * half, 1.0))

    def place(self, dot: StripDot) -> QPointF:
        """Return where a dot comes to rest; one without a value lies on the floor."""
        assert self.strip is not None
        plot = self.plot()
        x = plot.left() + (dot.number - 0.5) / self.strip.places * plot.width()
        return QPointF(x, plot.bottom() - _NEWEST_PX if dot.ms is None else self._y(plot, dot.ms))

    def _y(self, plot: QRectF, ms: float) -> float:
        assert self.strip is not None
        share = (ms - self.strip.low_ms) / (self.strip.high_ms - self.strip.low_ms)
        return plot.bottom() - min(max(share, 0.0), 1.0) * plot.height()

    def radius_px(self) -> float:
        """Return how large a dot is: smaller where many share the strip."""
        room = 0.0 if self.strip is None else self.plot().width() / self.strip.places
        return min(max(0.4 * room, _LEAST_RADIUS_PX), _MOST_RADIUS_PX)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw scale, bands and figure, then the dots."""
        if self.strip is None:
            return
        painter = QPainter(self)
        plot = self.plot()
        self._scale(painter, plot, self.strip)
        self._figure(painter, plot, self.strip)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for dot in self.strip.dots[:-1]:
            self._dot(painter, self.place(dot), dot, self.radius_px())
        if self.strip.dots:
            newest = self.strip.dots[-1]
            rest = self.place(newest)
            fallen = 1.0 - self.falling / FALL_FRAMES
            at = QPointF(rest.x(), plot.top() + (rest.y() - plot.top()) * fallen * fallen)
            self._dot(painter, at, newest, self.radius_px() + _NEWEST_PX)
        painter.end()

    def _scale(self, painter: QPainter, plot: QRectF, strip: StripShown) -> None:
        painter.setFont(font(Type.CAPTION))
        for value, text in strip.ticks:
            y = round(self._y(plot, value))
            painter.setPen(QPen(self._theme.colour("hairline"), 1))
            painter.drawLine(QLineF(plot.left(), y, plot.right(), y))
            painter.setPen(self._theme.colour("soft_ink"))
            place = QRectF(0, y - plot.top(), plot.left() - Space.SMALL, 2 * plot.top())
            painter.drawText(place, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter, text)

    def _figure(self, painter: QPainter, plot: QRectF, strip: StripShown) -> None:
        for (low, high), share in zip(strip.bands_ms, _SHARES, strict=False):
            tint = QColor(self._theme.colour("action"))
            tint.setAlphaF(share)
            top, bottom = self._y(plot, high), self._y(plot, low)
            painter.fillRect(QRectF(plot.left(), top, plot.width(), bottom - top), tint)
        if strip.figure_ms is not None:
            y = round(self._y(plot, strip.figure_ms))
            painter.setPen(QPen(self._theme.colour("action"), 2))
            painter.drawLine(QLineF(plot.left(), y, plot.right(), y))

    def _dot(self, painter: QPainter, at: QPointF, dot: StripDot, radius: float) -> None:
        """Draw a disc for a longer pulse, a ring for a shorter one, a cross for what was left out."""
        colour = self._theme.role_colour("output")
        if dot.left_out:
            painter.setPen(QPen(self._theme.colour("soft_ink"), 2))
            painter.drawLine(QLineF(at.x() - radius, at.y() - radius, at.x() + radius, at.y() + radius))
            painter.drawLine(QLineF(at.x() - radius, at.y() + radius, at.x() + radius, at.y() - radius))
            return
        painter.setPen(QPen(colour, 1.5))
        painter.setBrush(colour if dot.up else self._theme.colour("card"))
        painter.drawEllipse(at, radius, radius)


class FlipStrip(QFrame):
    """The card of the strip: its title, the figure in words, the dots."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("card", True)
        self.title = PlainLabel(ALL_FLIPS, Type.BODY, bold=True, soft=True)
        self.key = PlainLabel(KEY, Type.CAPTION, soft=True, wrap=True)
        self.figure = PlainLabel(" ", Type.BODY, wrap=True)
        self.picture = StripPicture(theme)
        head = WrapRow(spacing=Space.MEDIUM, line_spacing=0)
        head.addWidget(self.title)
        head.addWidget(self.key, 1, whole=True)
        column = QVBoxLayout(self)
        column.setContentsMargins(Space.LARGE, Space.SMALL, Space.LARGE, Space.SMALL)
        column.setSpacing(Space.HAIR)
        column.addLayout(head)
        column.addWidget(self.figure)
        column.addWidget(self.picture, 1)

    def show_strip(self, strip: StripShown | None) -> None:
        """Show a run's flips."""
        self.picture.show_strip(strip)

    def show_figure(self, figure: str) -> None:
        """Show the figure so far in words; its line is kept free while there is none."""
        self.figure.show_text(figure or " ")
