"""A page's task that scrolls up and down, its right edge in line with what does not scroll."""

from PySide6.QtCore import QEvent, QObject, QSize, Qt, Slot
from PySide6.QtWidgets import QFrame, QScrollArea, QVBoxLayout, QWidget

from benchapp.ui.look.tokens import Space

BAR_PX = 12
LANE_PX = Space.MEDIUM + Space.HAIR
"""How far the area reaches into the page's margin, so that the bar stands there and not beside the cards."""


class _Scrolled(QWidget):
    """The content that scrolls: as high as it must be at the width it has."""

    def minimumSizeHint(self) -> QSize:
        """Return the least width; the height follows from the width there is."""
        least = super().minimumSizeHint()
        return QSize(least.width(), 0) if self.hasHeightForWidth() else least


class PageScroll(QScrollArea):
    """An area that scrolls up and down; it keeps room for the scroll bar even without one, so that nothing jumps."""

    def __init__(self, *, lane_px: int = LANE_PX, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._lane_px = lane_px
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.viewport().setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.verticalScrollBar().rangeChanged.connect(self._keep_edge)

    def minimumSizeHint(self) -> QSize:
        """Return the width below which what scrolls would be cut: it scrolls up and down only."""
        inner = self.widget()
        layout = inner.layout() if inner is not None else None
        least = super().minimumSizeHint()
        if layout is None:
            return least
        needed_px = layout.minimumSize().width() - layout.contentsMargins().right() + self._lane_px
        return least.expandedTo(QSize(needed_px, 0))

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Pass on that what scrolls has another width: the area's own least width follows it."""
        if watched is self.widget() and event.type() is QEvent.Type.LayoutRequest:
            self.updateGeometry()
        return super().eventFilter(watched, event)

    def show_layout(self, layout: QVBoxLayout) -> None:
        """Scroll the widgets of a layout."""
        inner = _Scrolled()
        inner.setLayout(layout)
        self.show_widget(inner)

    def show_widget(self, inner: QWidget) -> None:
        """Scroll a widget; the one before it is deleted."""
        inner.setObjectName("scrolled")
        self.setWidget(inner)
        self._keep_edge()

    @Slot()
    def _keep_edge(self) -> None:
        inner = self.widget()
        layout = inner.layout() if inner is not None else None
        if layout is not None:
            shown = self.verticalScrollBar().maximum() > 0
            layout.setContentsMargins(0, 0, self._lane_px - (BAR_PX if shown else 0), 0)
