"""Every flip as a dot: its number across, how long it took upwards, the figure as a line with its band."""

from pathlib import Path
from typing import Any

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QEvent, QObject, QPoint, Qt, Signal, Slot
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QImage, QKeyEvent, QRegion
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from benchapp.presentation.flips.dot_words import excluded_sentence, latency_summary, trial_sentence
from benchapp.presentation.flips.dots import OPACITIES
from benchapp.presentation.flips.switch_on_words import bands, bands_sentence
from benchapp.presentation.ground.enough import has_figure
from benchapp.presentation.ground.numbers import marked
from benchapp.presentation.ground.page import PRACTICE_MARK
from benchapp.records.findings import Latency, Trial
from benchapp.ui.look.theme import Theme, font, use_lengths
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.picture_saving import save_picture, saved_words, wanted_file

_PLOT_PX = 230
_DOT_PX = 11
_CHOSEN_PX = 20
_IMAGE_SCALE = 2
_WIDEST_TICK = "100.5"
_LOOK = "Click a dot, or walk along them with the arrow keys."


class _MarkedAxis(pg.AxisItem):  # type: ignore[misc]  # the library has no types
    """An axis whose numbers have the system's decimal mark."""

    def tickStrings(self, values: Any, scale: float, spacing: float) -> list[str]:
        return [marked(text) for text in super().tickStrings(values, scale, spacing)]


class DotPlot(QWidget):
    """Draws one run's flips; a triangle up is a longer pulse after the flip, down a shorter one."""

    flip_chosen = Signal(int)

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._latency: Latency | None = None
        self._chosen: int | None = None
        self.plot = pg.PlotWidget(axisItems={side: _MarkedAxis(side) for side in ("left", "bottom")})
        self._tame()
        self._band: Any = pg.LinearRegionItem(orientation="horizontal", movable=False)
        self._any: Any = pg.LinearRegionItem(orientation="horizontal", movable=False)
        self._line: Any = pg.InfiniteLine(angle=0)
        self._dots: Any = pg.ScatterPlotItem(size=_DOT_PX, pxMode=True)
        self._left_out: Any = pg.ScatterPlotItem(size=_DOT_PX, pxMode=True, symbol="x")
        self._ring: Any = pg.ScatterPlotItem(size=_CHOSEN_PX, pxMode=True, symbol="o")
        for item in (self._any, self._band, self._line, self._left_out, self._dots, self._ring):
            self.plot.addItem(item)
        self._dots.sigClicked.connect(self._clicked)
        self.words = PlainLabel(_LOOK, Type.BODY, soft=True, wrap=True)
        self.words.setMinimumHeight(2 * self.words.fontMetrics().lineSpacing())
        self.words.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.key = PlainLabel("", Type.CAPTION, soft=True, wrap=True)
        self.mark = PlainLabel(PRACTICE_MARK, Type.CAPTION, bold=True)
        self.mark.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.drawing = QWidget()
        drawn = QVBoxLayout(self.drawing)
        drawn.setContentsMargins(0, 0, 0, 0)
        drawn.setSpacing(Space.SMALL)
        drawn.addWidget(self.mark)
        drawn.addWidget(self.key)
        drawn.addWidget(self.plot, 1)
        self.save = button("Save picture…", Kind.QUIET, name="Save this picture: every flip as a dot")
        self.save.clicked.connect(self._save)
        below = QHBoxLayout()
        below.setSpacing(Space.LARGE)
        below.addWidget(self.words, 1)
        below.addWidget(self.save, 0, Qt.AlignmentFlag.AlignTop)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(Space.SMALL)
        column.addWidget(self.drawing, 1)
        column.addLayout(below)
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
        item.setMouseEnabled(x=False, y=False)
        for side, words in (("left", "Time to half-way (ms)"), ("bottom", "Flip")):
            axis = item.getAxis(side)
            axis.enableAutoSIPrefix(False)
            axis.setStyle(tickLength=-5, maxTickLevel=0)
            axis.setLabel(words)

    @Slot()
    def apply_theme(self) -> None:
        """Give every line and letter its colour in the theme in force."""
        ink, soft = self._theme.colour("ink"), self._theme.colour("soft_ink")
        edge, output = self._theme.colour("control_edge"), self._theme.colour("output")
        self.plot.setBackground(self._theme.colour("card"))
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
        self._dots.setPen(pg.mkPen(self._theme.colour("card"), width=1))
        self._dots.setBrush(pg.mkBrush(output))
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

    def show_latency(self, latency: Latency, *, practice: bool) -> None:
        """Draw one run's flips."""
        self.mark.setVisible(practice)
        self._latency, self._chosen = latency, None
        trials = latency.trials
        self._dots.setData(
            x=[t.flip for t in trials],
            y=[t.mid_ms for t in trials],
            symbol=["t1" if t.direction == "up" else "t" for t in trials],
            data=[t.flip for t in trials],
        )
        kept = [flip for flip in latency.excluded if flip.mid_ms is not None]
        self._left_out.setData(x=[flip.flip for flip in kept], y=[flip.mid_ms for flip in kept])
        self._ring.setData(x=[], y=[])
        self._show_figure(latency)
        self._fit(latency)
        self.words.show_text(_LOOK)
        self.plot.setAccessibleDescription(latency_summary(latency))
        self.setAccessibleName("Every flip as a dot")
        self.setAccessibleDescription(latency_summary(latency))

    def _show_figure(self, latency: Latency) -> None:
        value, drawn = latency.headline.value_ms, bands(latency)
        if not has_figure(latency):
            value = None
        self._line.setVisible(value is not None)
        self._line.setValue(value or 0.0)
        for number, band in enumerate((self._band, self._any)):
            band.setVisible(number < len(drawn))
            band.setRegion(drawn[number] if number < len(drawn) else (0.0, 0.0))
        self.key.show_text(bands_sentence(latency))

    def _fit(self, latency: Latency) -> None:
        heights = [t.mid_ms for t in latency.trials] + [f.mid_ms for f in latency.excluded if f.mid_ms]
        values = np.array(heights + [end for band in bands(latency) for end in band])
        item = self.plot.getPlotItem()
        item.setXRange(0.5, max(latency.flips, 1) + 0.5, padding=0.02)
        if values.size:
            item.setYRange(float(values.min()), float(values.max()) + 1e-6, padding=0.08)

    def choose(self, flip: int) -> None:
        """Ring one flip's dot and say in words what that flip was."""
        if self._latency is None:
            return
        trial = next((t for t in self._latency.trials if t.flip == flip), None)
        if trial is not None:
            self._choose_trial(trial)
            return
        left_out = next((f for f in self._latency.excluded if f.flip == flip), None)
        if left_out is not None:
            self._chosen = flip
            heights = [] if left_out.mid_ms is None else [left_out.mid_ms]
            self._ring.setData(x=[flip] * len(heights), y=heights)
            self.words.show_text(excluded_sentence(left_out, window_s=self._latency.window_s))
            self.flip_chosen.emit(flip)

    def _choose_trial(self, trial: Trial) -> None:
        self._chosen = trial.flip
        self._ring.setData(x=[trial.flip], y=[trial.mid_ms])
        self.words.show_text(trial_sentence(trial))
        self.flip_chosen.emit(trial.flip)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Walk from flip to flip."""
        steps = {Qt.Key.Key_Right: 1, Qt.Key.Key_Left: -1}
        step = steps.get(Qt.Key(event.key()))
        if step is None or self._latency is None or not self._latency.flips:
            super().keyPressEvent(event)
            return
        start = 0 if step > 0 else self._latency.flips + 1
        self.choose(min(max((self._chosen or start) + step, 1), self._latency.flips))

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
        self.words.show_text(saved_words(path, save_picture(path, image=self.image())))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Keep the wheel from moving the picture: it scrolls the page instead."""
        if event.type() is QEvent.Type.Wheel:
            event.ignore()
            return True
        return False

    @Slot(object, object)
    def _clicked(self, _plot: object, points: Any) -> None:
        if len(points):
            self.choose(int(points[0].data()))
