"""Plain text set in lines for a page: measured in pt, drawn as text that can be selected and searched."""

from dataclasses import dataclass

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetricsF,
    QPagedPaintDevice,
    QPainter,
    QTextCharFormat,
    QTextLayout,
    QTextOption,
)

from benchapp.presentation.ground.colours import INK

_SANS = ("Noto Sans", "DejaVu Sans", "Liberation Sans", "Arial", "sans-serif")
_MONO = ("DejaVu Sans Mono", "Liberation Mono", "Courier New", "monospace")


@dataclass(frozen=True, kw_only=True, slots=True)
class Style:
    """How text looks. size in pt; leading as a multiple of the size."""

    size: float = 9.5
    bold: bool = False
    mono: bool = False
    colour: str = INK
    right: bool = False
    leading: float = 1.42


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Laid:
    """Text broken into lines of at most a width. height in pt."""

    layout: QTextLayout
    height: float
    colour: str
    scale: float

    def draw(self, painter: QPainter, x: float, y: float) -> None:
        """Draw it with its top left corner at x, y [pt]."""
        painter.setPen(QColor(self.colour))
        self.layout.draw(painter, QPointF(x * self.scale, y * self.scale))

    @property
    def lines(self) -> int:
        """How many lines it has."""
        return max(self.layout.lineCount(), 1)

    def draw_line(self, number: int, painter: QPainter, y: float) -> None:
        """Draw one of its lines at the left, the line's top at y [pt]."""
        if number >= self.layout.lineCount():
            return
        painter.setPen(QColor(self.colour))
        above = number * self.height / self.lines
        self.layout.lineAt(number).draw(painter, QPointF(0.0, (y - above) * self.scale))


class Typesetter:
    """Sets text for one paged device."""

    def __init__(self, device: QPagedPaintDevice) -> None:
        self._device = device
        self.scale = device.logicalDpiX() / 72.0
        """Device units in a pt."""

    def lay(self, text: str, width: float, style: Style, *, bold: int = 0) -> Laid:
        """Return the text broken to a width [pt]; a word longer than that is broken anywhere.

        bold : how many characters at its beginning are bold
        """
        option = QTextOption(Qt.AlignmentFlag.AlignRight if style.right else Qt.AlignmentFlag.AlignLeft)
        option.setWrapMode(QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere)
        # Names are typed by people: a line begins at the left whatever their script.
        option.setTextDirection(Qt.LayoutDirection.LeftToRight)
        layout = QTextLayout(text, _font(style), self._device)
        layout.setTextOption(option)
        layout.setCacheEnabled(True)
        if bold:
            layout.setFormats([_bold(bold)])
        step = style.size * style.leading
        layout.beginLayout()
        lines = 0
        while True:
            line = layout.createLine()
            if not line.isValid():
                break
            line.setLineWidth(width * self.scale)
            gap = max(step * self.scale - line.height(), 0.0) / 2
            line.setPosition(QPointF(0.0, lines * step * self.scale + gap))
            lines += 1
        layout.endLayout()
        return Laid(layout=layout, height=max(lines, 1) * step, colour=style.colour, scale=self.scale)

    def width(self, text: str, style: Style) -> float:
        """Return how wide the text is on one line [pt]."""
        return QFontMetricsF(_font(style), self._device).horizontalAdvance(text) / self.scale

    def shortened(self, text: str, width: float, style: Style) -> str:
        """Return the text, cut with … to fit a width [pt]."""
        metrics = QFontMetricsF(_font(style), self._device)
        return metrics.elidedText(text, Qt.TextElideMode.ElideRight, width * self.scale)


def _bold(characters: int) -> QTextLayout.FormatRange:
    run = QTextLayout.FormatRange()
    run.start, run.length = 0, characters
    letters = QTextCharFormat()
    letters.setFontWeight(QFont.Weight.Bold)
    run.format = letters
    return run


def _font(style: Style) -> QFont:
    font = QFont()
    font.setFamilies(list(_MONO if style.mono else _SANS))
    font.setStyleHint(QFont.StyleHint.Monospace if style.mono else QFont.StyleHint.SansSerif)
    font.setPointSizeF(style.size)
    font.setBold(style.bold)
    # A joined "fi" is one character in the file, and a search for "figure" would pass it by.
    font.setFeature(QFont.Tag("liga"), 0)
    return font
