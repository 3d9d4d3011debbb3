"""The practice bench's stick, large enough to drag, and to be moved by keys."""

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from benchapp.acquisition.hand_orders import PLACES, QUICKEST, SLOWEST, STROKE_S, place_of
from benchapp.ui.look.theme import Theme, font
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.screens.tests_page.plate import draw_plate, draw_words, words_px

_UP = (Qt.Key.Key_Up, Qt.Key.Key_Right)
_DOWN = (Qt.Key.Key_Down, Qt.Key.Key_Left)
_PAGES = {Qt.Key.Key_PageUp: 1, Qt.Key.Key_PageDown: -1}
_STEP = 2
"""Half a degree."""
_LONGEST_S = 0.1
"""A window that was busy for longer does not make the stick jump."""
_KNOB_PX = 26.0


class PracticeStick(QWidget):
    """Where the stick is wanted: `level`, 0 to 240 parts of its travel, to be read many times a second.

    A held arrow key moves it at an easy pace, with Shift more slowly, a held page key a little quicker. Where there
    are marks, arrow keys step by half a degree and page keys go to the next mark. taken: space was pressed.
    """

    taken = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self._place = 0.0
        self._speed = 0.0
        self._seen_s: float | None = None
        self._marks: tuple[int, ...] = ()
        self._next: int | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("The practice stick")
        self.setFont(font(Type.BODY, bold=True))
        theme.changed.connect(self.update)
        self.put(0)

    def sizeHint(self) -> QSize:
        """Return a size a thumb would like."""
        return QSize(224, 280)

    @property
    def level(self) -> int:
        """Where the stick is wanted, 0 to 240."""
        return round(self._place)

    def put(self, level: float) -> None:
        """Ask for the stick at a place, 0 to 240."""
        self._place = min(max(float(level), 0.0), float(PLACES))
        self.setAccessibleDescription(f"{self.level * 100 // PLACES} %")
        self.update()

    def show_marks(self, marks_deg: Sequence[float]) -> None:
        """Show marks, or none; they make the keys step instead of glide."""
        self._marks = tuple(place_of(position) for position in marks_deg)
        self._next, self._speed = None, 0.0
        self.update()

    def show_next(self, position_deg: float | None) -> None:
        """Show which mark is next."""
        place = None if position_deg is None else place_of(position_deg)
        if place != self._next:
            self._next = place
            self.update()

    def tick(self, now_s: float) -> None:
        """Let a held key move the stick on."""
        lasted_s = 0.0 if self._seen_s is None else min(now_s - self._seen_s, _LONGEST_S)
        self._seen_s = now_s
        if self._speed:
            self.put(self._place + self._speed * lasted_s * PLACES / STROKE_S)

    # Keys and mouse --------------------------------------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Step or glide; space takes a mark."""
        key = Qt.Key(event.key())
        way = 1 if key in _UP else -1 if key in _DOWN else _PAGES.get(key, 0)
        if key in (Qt.Key.Key_Home, Qt.Key.Key_End):
            self.put(0 if key is Qt.Key.Key_Home else PLACES)
        elif key is Qt.Key.Key_Space and not event.isAutoRepeat():
            self.taken.emit()
        elif way and self._marks:
            self.put(self._next_mark(way) if key in _PAGES else self.level + way * _STEP)
        elif way and not event.isAutoRepeat():
            slow = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
            self._speed = way * (QUICKEST if key in _PAGES else SLOWEST if slow else 1.0)
        elif not way:
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        """Stop the stick's gliding."""
        if not event.isAutoRepeat():
            self._speed = 0.0
        super().keyReleaseEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Stop gliding: the release of the key goes elsewhere."""
        self._speed = 0.0
        self.update()
        super().focusOutEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Show the ring."""
        self.update()
        super().focusInEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Begin to drag the stick."""
        if self.isEnabled():
            self.put(self._level_at(event.position().y()))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Drag the stick."""
        if self.isEnabled() and event.buttons() & Qt.MouseButton.LeftButton:
            self.put(self._level_at(event.position().y()))

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Step the stick."""
        if self.isEnabled() and event.angleDelta().y():
            self.put(self.level + (_STEP if event.angleDelta().y() > 0 else -_STEP))

    def _next_mark(self, way: int) -> int:
        ahead = [mark for mark in self._marks if (mark - self.level) * way > 0]
        return self.level if not ahead else min(ahead) if way > 0 else max(ahead)

    # The picture -----------------------------------------------------------------------------------------------------

    def _words(self) -> tuple[str, str]:
        if not self.isEnabled():
            return "The run has ended", ""
        if self._marks:
            return "Drag it to the mark", "or page keys, arrow keys"
        return "Drag it slowly", "or hold ↑ ↓, Shift, page keys"

    def _slot(self) -> QRectF:
        top = Space.WIDE + _KNOB_PX
        below = sum(words_px(self, self._words())) + Space.MEDIUM + Space.SMALL + _KNOB_PX
        return QRectF(self.width() / 2 - 7, top, 14, max(self.height() - top - below, 1.0))

    def _y(self, level: float) -> float:
        slot = self._slot()
        return slot.bottom() - level / PLACES * slot.height()

    def _level_at(self, y: float) -> float:
        slot = self._slot()
        level = round((slot.bottom() - y) / max(slot.height(), 1.0) * PLACES)
        near = [mark for mark in self._marks if abs(self._y(mark) - y) <= _STEP * 2]
        return near[0] if near else level

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw plate, slot, marks, knob and words."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._draw_plate(painter)
        self._draw_marks(painter)
        self._draw_knob(painter)
        draw_words(painter, self._theme, self, self._words())
        painter.end()

    def _draw_plate(self, painter: QPainter) -> None:
        draw_plate(painter, self._theme, self)
        painter.setPen(QPen(self._theme.colour("control_edge"), 2))
        painter.setBrush(self._theme.colour("paper"))
        painter.drawRoundedRect(self._slot(), 7, 7)

    def _draw_marks(self, painter: QPainter) -> None:
        slot = self._slot()
        for mark in self._marks or (0, PLACES // 2, PLACES):
            chosen = mark == self._next
            painter.setPen(QPen(self._theme.colour("action" if chosen else "control_edge"), 4 if chosen else 2))
            y = self._y(mark)
            reach = 44 if chosen else 32
            for inner, outer in ((slot.left() - 14, slot.left() - reach), (slot.right() + 14, slot.right() + reach)):
                painter.drawLine(QPointF(inner, y), QPointF(outer, y))

    def _draw_knob(self, painter: QPainter) -> None:
        painter.setPen(QPen(self._theme.colour("card"), 2))
        painter.setBrush(self._theme.colour("action" if self.isEnabled() else "control_edge"))
        painter.drawEllipse(QPointF(self._slot().center().x(), self._y(self._place)), _KNOB_PX, _KNOB_PX)
