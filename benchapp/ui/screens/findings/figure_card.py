"""The figure on its card: large, and each give or take in the colour of its band with the words for what it holds."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QVBoxLayout, QWidget

from benchapp.presentation.flips.dots import OPACITIES
from benchapp.presentation.ground.page import KeyFigure
from benchapp.ui.look.theme import Theme, use_lengths
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.screens.findings.blocks import number_line
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.page import card

_SWATCH_PX = 14


class _Swatch(QWidget):
    """A square in the colour that a band has in the plot."""

    def __init__(self, theme: Theme, opacity: float) -> None:
        super().__init__()
        self._theme, self._opacity = theme, opacity
        use_lengths(
            self,
            minimumWidth=_SWATCH_PX,
            maximumWidth=_SWATCH_PX,
            minimumHeight=_SWATCH_PX,
            maximumHeight=_SWATCH_PX,
        )
        theme.changed.connect(self.update)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint it, with an edge that a pale colour needs."""
        colour = QColor(self._theme.colour("action"))
        painter = QPainter(self)
        painter.setPen(self._theme.colour("control_edge"))
        colour.setAlphaF(self._opacity)
        painter.setBrush(colour)
        painter.drawRect(self.rect().adjusted(0, 0, -1, -1))
        painter.end()


def figure_card(theme: Theme, block: KeyFigure) -> QFrame:
    """Return the card."""
    frame = card()
    column = QVBoxLayout(frame)
    column.setContentsMargins(Space.LARGE, Space.MEDIUM, Space.LARGE, Space.MEDIUM)
    column.setSpacing(Space.HAIR)
    if block.label:
        column.addWidget(PlainLabel(block.label, Type.CAPTION, soft=True, wrap=True))
    column.addLayout(number_line(block))
    for band, opacity in zip(block.bands, OPACITIES, strict=False):
        column.addLayout(_line(theme, band.give, opacity))
        column.addWidget(PlainLabel(band.holds_for, Type.BODY, soft=True, wrap=True))
    if not block.bands:
        column.addWidget(PlainLabel(block.spread, Type.LEAD, bold=True, wrap=True))
    for line in block.lines:
        column.addWidget(PlainLabel(line, Type.BODY, soft=True, wrap=True))
    column.addStretch(1)
    return frame


def _line(theme: Theme, words: str, opacity: float) -> QHBoxLayout:
    row = QHBoxLayout()
    row.setSpacing(Space.SMALL)
    row.addWidget(PlainLabel(words, Type.HEADING, bold=True))
    row.addWidget(_Swatch(theme, opacity), 0, Qt.AlignmentFlag.AlignVCenter)
    row.addStretch(1)
    return row
