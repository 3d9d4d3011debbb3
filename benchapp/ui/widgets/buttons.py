"""Buttons: one main action a page, plain ones beside it, quiet ones for what is rarely wanted."""

from enum import StrEnum

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QEnterEvent, QPainter, QPaintEvent, QPalette, QPen
from PySide6.QtWidgets import QPushButton, QSizePolicy, QWidget

from benchapp.ui.look.theme import font
from benchapp.ui.look.tokens import FOCUS_PX, RADIUS_PX, TARGET_PX, Space, Type

_GAP_PX = 2
"""Between the focus ring and a filled button: the ring would drown in a ground of its own colour."""


class Kind(StrEnum):
    """How prominent a button is: main, plain, quiet, or a step of the rail."""

    MAIN = "main"
    PLAIN = "plain"
    QUIET = "quiet"
    STEP = "step"


class BenchButton(QPushButton):
    """A button drawn from the palette alone: as large with the focus ring as without it, so that nothing jumps."""

    def __init__(self, text: str, kind: Kind, parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        self.kind = kind
        self._other_words: tuple[str, ...] = ()
        self.setFont(font(Type.BODY, bold=kind is Kind.MAIN))
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.setAutoDefault(False)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)

    def set_kind(self, kind: Kind) -> None:
        """Be as prominent as another kind from now on."""
        self.kind = kind
        self.setFont(font(Type.BODY, bold=kind is Kind.MAIN))
        self.updateGeometry()
        self.update()

    def keep_room_for(self, *words: str) -> None:
        """Be as wide as these words need whatever is shown, so that nothing jumps when they come."""
        self._other_words = words
        self.updateGeometry()

    def sizeHint(self) -> QSize:
        """Return room for the words, and a height that is easy to hit."""
        metrics = self.fontMetrics()
        sides = {Kind.MAIN: Space.WIDE, Kind.QUIET: Space.MEDIUM}.get(self.kind, Space.LARGE)
        width = max(metrics.horizontalAdvance(words) for words in (self.text(), *self._other_words)) + 2 * sides
        if not self.icon().isNull():
            width += self.iconSize().width() + Space.SMALL
        height = max(TARGET_PX + 4, metrics.height() + Space.SMALL)
        return QSize(width, height + (Space.HAIR if self.kind is Kind.STEP else 0))

    def minimumSizeHint(self) -> QSize:
        """Return the same: words are never cut."""
        return self.sizeHint()

    def enterEvent(self, event: QEnterEvent) -> None:
        """Show that the button can be pressed."""
        self.update()
        super().enterEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw ground, edge, ring and words."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._draw_ground(painter)
        if self.hasFocus():
            self._ring(painter)
        painter.setPen(self._ink())
        painter.setFont(self.font())
        inside = QRectF(self.rect())
        side = Qt.AlignmentFlag.AlignVCenter
        if self.kind is Kind.STEP:
            inside.adjust(Space.MEDIUM, 0, -Space.HAIR, 0)
            inside = self._draw_icon(painter, inside)
            side |= Qt.AlignmentFlag.AlignLeft
        else:
            side |= Qt.AlignmentFlag.AlignHCenter
        painter.drawText(inside, side, self.text())
        painter.end()

    @property
    def _filled(self) -> bool:
        """Whether the ground has the colour of actions."""
        return self.isEnabled() and (self.kind is Kind.MAIN or (self.kind is Kind.PLAIN and self.isChecked()))

    def _colour(self, role: QPalette.ColorRole) -> QColor:
        return self.palette().color(QPalette.ColorGroup.Active, role)

    def _ink(self) -> QColor:
        roles = QPalette.ColorRole
        if not self.isEnabled():
            return self._colour(roles.PlaceholderText)
        if self._filled:
            return self._colour(roles.HighlightedText)
        return self._colour(roles.Highlight if self.kind is Kind.QUIET else roles.ButtonText)

    def _draw_ground(self, painter: QPainter) -> None:
        roles = QPalette.ColorRole
        ground: QColor | None = None
        edge: QColor | None = None
        if self._filled:
            ground = self._colour(roles.Highlight)
        elif self.kind in (Kind.PLAIN, Kind.MAIN):
            ground = self._colour(roles.Button) if self.isEnabled() else None
            edge = self._colour(roles.Mid if self.isEnabled() else roles.Midlight)
        elif self.kind is Kind.STEP and self.isChecked():
            ground, edge = self._colour(roles.Button), self._colour(roles.Midlight)
        if self.isEnabled() and not self._filled and (self.underMouse() or self.isDown()):
            ground = self._colour(roles.Midlight)
        inset = FOCUS_PX + _GAP_PX if self._filled and self.hasFocus() else 0.0 if edge is None else 0.5
        painter.setPen(QPen(edge, 1) if edge is not None else Qt.PenStyle.NoPen)
        painter.setBrush(ground if ground is not None else Qt.BrushStyle.NoBrush)
        radius = max(RADIUS_PX - inset, 3.0)
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(inset, inset, -inset, -inset), radius, radius)

    def _ring(self, painter: QPainter) -> None:
        half = FOCUS_PX / 2
        painter.setPen(QPen(self._colour(QPalette.ColorRole.Highlight), FOCUS_PX))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(half, half, -half, -half), RADIUS_PX, RADIUS_PX)

    def _draw_icon(self, painter: QPainter, inside: QRectF) -> QRectF:
        if self.icon().isNull():
            return inside
        side = self.iconSize().width()
        top = (self.height() - side) // 2
        self.icon().paint(painter, round(inside.left()), top, side, side)
        return inside.adjusted(side + Space.SMALL, 0, 0, 0)


def button(text: str, kind: Kind = Kind.PLAIN, *, name: str = "", parent: QWidget | None = None) -> BenchButton:
    """Return a push button; name is what a screen reader says where the text alone would not do."""
    result = BenchButton(text, kind, parent)
    result.setAccessibleName(name or text)
    return result
