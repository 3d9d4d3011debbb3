"""The plot of a figure as it can be touched: its spots, line and bands are those that paper shows."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QEvent, QObject, QPoint, Qt, Signal, Slot
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QImage, QKeyEvent, QRegion, QWheelEvent
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from benchapp.presentation.flips.dots import OPACITIES
from benchapp.presentation.ground.numbers import marked
from benchapp.presentation.ground.page import PRACTICE_MARK, Figure, Plot, Spot
from benchapp.ui.look.theme import Theme, font, use_lengths
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.picture_saving import save_picture, saved_words, wanted_file

_PLOT_PX = 204
_HEAD_PX = 32
_DOT_PX = 11
_CHOSEN_PX = 20
_IMAGE_SCALE = 2
_WIDEST_TICK = "100.5"
_LOOK = "Click a dot, or walk with the arrow keys. Ctrl and the wheel zoom, a drag moves, a double click shows all."


class _MarkedAxis(pg.AxisItem):  # type: ignore[misc]  # the library has no types
    """An axis whose numbers have the system's decimal mark."""

    def tickStrings(self, values: Any, scale: float, spacing: float) -> list[str]:
        return [marked(text) for text in super().tickStrings(values, scale, spacing)]


class DotPlot(QWidget):
    """Draws one run's flips: filled where the pulse grew longer, a ring where it grew shorter, × where left out.

    Ctrl and the wheel zoom and a drag moves the picture; the wheel alone scrolls the page.
    """

    flip_chosen = Signal(int)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._plot: Plot | None = None
        self._says: Callable[[int], str] = str
        self._chosen: int | None = None
        self.plot = pg.PlotWidget(axisItems={side: _MarkedAxis(side) for side in ("left", "bottom")})
        self._tame()
        self._band: Any = pg.LinearRegionItem(orientation="horizontal", movable=False)
        self._any: Any = pg.LinearRegionItem(orientation="horizontal", movable=False)
        self._line: Any = pg.InfiniteLine(angle=0)
        self._dots: Any = pg.ScatterPlotItem(size=_DOT_PX, pxMode=True, hoverable=True, tip=self._tip)
        self._left_out: Any = pg.ScatterPlotItem(size=_DOT_PX, pxMode=True, symbol="x")
        self._ring: Any = pg.ScatterPlotItem(size=_CHOSEN_PX, pxMode=True, symbol="o")
        for item in (self._any, self._band, self._line, self._left_out, self._dots, self._ring):
            self.plot.addItem(item)
        self._dots.sigClicked.connect(self._clicked)
        self.words = PlainLabel("", Type.BODY, soft=True, wrap=True)
        self.words.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.words.hide()
        self.plot.setToolTip(_LOOK)
        self.mark = PlainLabel(PRACTICE_MARK, Type.CAPTION, bold=True)
        self.mark.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.head = QWidget()
        use_lengths(self.head, minimumHeight=_HEAD_PX, maximumHeight=_HEAD_PX)
        over = QVBoxLayout(self.head)
        over.setContentsMargins(0, 0, 0, 0)
        over.addWidget(self.mark)
        self.drawing = QWidget()
        drawn = QVBoxLayout(self.drawing)
        drawn.setContentsMargins(0, 0, 0, 0)
        drawn.setSpacing(0)
        drawn.addWidget(self.head)
        drawn.addWidget(self.plot, 1)
        self.save = button("Save picture…", Kind.QUIET, name="Save this picture: every flip as a dot")
        self.save.clicked.connect(self._save)
        # the button lies over the empty half of the row in which the mark stands, and is on no saved picture
        both = QGridLayout()
        both.setContentsMargins(0, 0, 0, 0)
        both.addWidget(self.drawing, 0, 0)
        both.addWidget(self.save, 0, 0, Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(both, 1)
        column.addWidget(self.words)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.plot.installEventFilter(self)
        self.plot.viewport().installEventFilter(self)
        theme.changed.connect(self.apply_theme)
        self.apply_theme()

    def _tame(self) -> None:
        self.plot.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.plot.viewport().setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.plot.setAccessibleName("Every flip as a dot")
        use_lengths(self.plot, minimumHeight=_PLOT_PX, maximumHeight=_PLOT_PX)
        item = self.plot.getPlotItem()
        item.layout.setContentsMargins(0, Space.SMALL, Space.SMALL, 0)
        item.setMenuEnabled(False)
        item.hideButtons()
        item.setMouseEnabled(x=True, y=True)
        item.showAxes((True, True, True, True), showValues=(True, False, False, True))
        for side in ("top", "right"):
            item.getAxis(side).setStyle(tickLength=0)
        for side in ("left", "bottom"):
            axis = item.getAxis(side)
            axis.enableAutoSIPrefix(False)
            axis.setStyle(tickLength=-5, maxTickLevel=0)

    @Slot()
    def apply_theme(self) -> None:
        """Give every line and letter its colour in the theme in force."""
        ink, soft = self._theme.colour("ink"), self._theme.colour("soft_ink")
        edge, output = self._theme.colour("control_edge"), self._theme.colour("output")
        self.plot.setBackground(self._theme.colour("card"))
        for side in ("top", "right"):
            self.plot.getPlotItem().getAxis(side).setPen(pg.mkPen(self._theme.colour("hairline")))
        self._use_letters(font(Type.CAPTION))
        for side in ("left", "bottom"):
            axis = self.plot.getPlotItem().getAxis(side)
            axis.setPen(pg.mkPen(edge))
            axis.setTextPen(pg.mkPen(soft))
            axis.label.setDefaultTextColor(soft)
        for band, opacity in zip((self._band, self._any), OPACITIES, strict=True):
            ground = QColor(self._theme.colour("action"))
            ground.setAlphaF(opacity)
            band.setBrush(ground)
            for line in band.lines:
                line.setPen(pg.mkPen(None))
        self._line.setPen(pg.mkPen(self._theme.colour("action"), width=1))
        self._dots.setPen(pg.mkPen(output, width=1.5))
        self._fill_dots()
        self._left_out.setPen(pg.mkPen(soft, width=1))
        self._ring.setPen(pg.mkPen(ink, width=2))
        self._ring.setBrush(pg.mkBrush(None))

    def _use_letters(self, letters: QFont) -> None:
        """Write at both axes in the letters that are wished, with room for figures and words beside each other."""
        item, metrics = self.plot.getPlotItem(), QFontMetricsF(letters)
        left, bottom = item.getAxis("left"), item.getAxis("bottom")
        for axis in (left, bottom):
            axis.setStyle(tickFont=letters)
            axis.label.setFont(letters)
        left.setWidth(metrics.height() + metrics.horizontalAdvance(_WIDEST_TICK) + Space.MEDIUM)
        bottom.setHeight(2 * metrics.height() + Space.SMALL)

    def show_figure(self, figure: Figure, says: Callable[[int], str], *, practice: bool) -> None:
        """Draw a figure's spots, line and bands; says(flip) is what is told of one that is chosen or pointed at."""
        if figure.plot is None:
            return
        self.mark.setVisible(practice)
        self._plot, self._chosen, self._says = figure.plot, None, says
        item = self.plot.getPlotItem()
        for side, title in (("left", figure.plot.y_title), ("bottom", figure.plot.x_title)):
            item.getAxis(side).setLabel(title)
        spots = _with_values(figure.plot, out=False)
        self._dots.setData(
            x=[spot.x for spot in spots], y=[spot.y for spot in spots], data=[spot.flip for spot in spots]
        )
        left_out = _with_values(figure.plot, out=True)
        self._left_out.setData(x=[spot.x for spot in left_out], y=[spot.y for spot in left_out])
        self._ring.setData(x=[], y=[])
        self._show_level(figure.plot)
        self.apply_theme()
        self.fit()
        self._tell("")
        for named in (self.plot, self):
            named.setAccessibleDescription(figure.alt)
        self.setAccessibleName("Every flip as a dot")

    def _fill_dots(self) -> None:
        if self._plot is None:
            return
        output, card = self._theme.colour("output"), self._theme.colour("card")
        brushes = [pg.mkBrush(card if spot.kind == "down" else output) for spot in _with_values(self._plot, out=False)]
        self._dots.setBrush(brushes)

    def _show_level(self, plot: Plot) -> None:
        self._line.setVisible(plot.level is not None)
        self._line.setValue(plot.level or 0.0)
        for number, band in enumerate((self._band, self._any)):
            band.setVisible(number < len(plot.bands))
            band.setRegion(plot.bands[number][:2] if number < len(plot.bands) else (0.0, 0.0))

    @Slot()
    def fit(self) -> None:
        """Show every flip and both bands."""
        if self._plot is None:
            return
        heights = [spot.y for spot in self._plot.spots if spot.y is not None]
        values = np.array(heights + [end for low, high, _ in self._plot.bands for end in (low, high)])
        item = self.plot.getPlotItem()
        item.setXRange(0.5, max((spot.x for spot in self._plot.spots), default=1.0) + 0.5, padding=0.02)
        if values.size:
            item.setYRange(float(values.min()), float(values.max()) + 1e-6, padding=0.08)

    def _tip(self, x: float, y: float, data: Any) -> str:
        return self._says(int(data))

    def choose(self, flip: int) -> None:
        """Ring one flip's dot and say in words what that flip was."""
        spot = next((spot for spot in self._plot.spots if spot.flip == flip), None) if self._plot is not None else None
        if spot is None:
            return
        self._chosen = flip
        heights = [] if spot.y is None else [spot.y]
        self._ring.setData(x=[spot.x] * len(heights), y=heights)
        self._tell(self._says(flip))
        self.flip_chosen.emit(flip)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Walk from flip to flip."""
        steps = {Qt.Key.Key_Right: 1, Qt.Key.Key_Left: -1}
        step = steps.get(Qt.Key(event.key()))
        if step is None or self._plot is None or not self._plot.spots:
            super().keyPressEvent(event)
            return
        flips = sorted(spot.flip for spot in self._plot.spots)
        if self._chosen is None:
            self.choose(flips[0] if step > 0 else flips[-1])
            return
        place = flips.index(self._chosen) + step
        self.choose(flips[min(max(place, 0), len(flips) - 1)])

    def image(self) -> QImage:
        """Return the plot with its mark as it is on screen, twice its size, on the ground it stands on."""
        image = QImage(self.drawing.size() * _IMAGE_SCALE, QImage.Format.Format_RGB32)
        image.setDevicePixelRatio(_IMAGE_SCALE)
        image.fill(QColor(self._theme.colour("card")))
        self.drawing.render(image, QPoint(), QRegion(), QWidget.RenderFlag.DrawChildren)
        return image

    @Slot()
    def _save(self) -> None:
        path = wanted_file(self, "dots", drawing=False)
        if path is not None:
            self.write(path)

    def write(self, path: Path) -> None:
        """Write the plot as a picture, and say what became of it."""
        self._tell(saved_words(path, save_picture(path, image=self.image())))

    def _tell(self, words: str) -> None:
        self.words.show_text(words)
        self.words.setVisible(bool(words))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Let the wheel scroll the page unless Ctrl is held; a double click shows everything again."""
        if isinstance(event, QWheelEvent) and not event.modifiers() & Qt.KeyboardModifier.ControlModifier:
            event.ignore()
            return True
        if event.type() is QEvent.Type.MouseButtonDblClick:
            self.fit()
        return False

    @Slot(object, object)
    def _clicked(self, _plot: object, points: Any) -> None:
        if len(points):
            self.choose(int(points[0].data()))


def _with_values(plot: Plot, *, out: bool) -> list[Spot]:
    return [spot for spot in plot.spots if (spot.kind == "out") is out and spot.y is not None]
