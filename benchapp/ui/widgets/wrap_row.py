"""A row that breaks into lines where it does not fit into one, so that large letters never widen the window."""

from dataclasses import dataclass

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import QApplication, QLabel, QLayout, QLayoutItem, QSizePolicy, QSpacerItem, QWidget

from benchapp.ui.look.tokens import Space

_LEAST_LETTERS = 24
"""A text that may break is given room for this many letters before it moves to a line of its own."""
_LEAST_LETTERS_OF_A_COLUMN = 32
"""The same for several texts, one above the other."""
_CENTRE = Qt.AlignmentFlag.AlignVCenter
FILL = Qt.AlignmentFlag(0)
"""As high as its line: for cards side by side."""


@dataclass(kw_only=True, slots=True, eq=False)
class _Part:
    """One thing in the row; share says how much of what is left over it takes, whole that its text stays on one line.

    spring marks empty room that pushes what follows to the right.
    """

    item: QLayoutItem
    share: int = 0
    whole: bool = False
    spring: bool = False

    def least_px(self) -> int:
        """Return the width below which this is cut."""
        return self.item.minimumSize().width()

    def wanted_px(self) -> int:
        """Return the width this wants before a line is shared with it."""
        widget = self.item.widget()
        if isinstance(widget, QLabel) and widget.wordWrap():
            one_line = widget.fontMetrics().horizontalAdvance(widget.text()) + _margins_px(widget) + 1
            letters = one_line if self.whole else _LEAST_LETTERS * widget.fontMetrics().averageCharWidth()
            return max(self.least_px(), min(one_line, letters))
        if widget is None and self.share and not self.spring and self.item.hasHeightForWidth():
            return max(
                self.least_px(), _LEAST_LETTERS_OF_A_COLUMN * QFontMetrics(QApplication.font()).averageCharWidth()
            )
        return self.least_px() if self.share else self.item.sizeHint().width()

    def height_px(self, width_px: int) -> int:
        """Return the height this needs at a width."""
        if self.item.hasHeightForWidth():
            return self.item.heightForWidth(width_px)
        return self.item.sizeHint().height()


class WrapRow(QLayout):
    """Lays out from left to right like a plain row while everything fits; what does not starts another line.

    Whatever stood to the right of something that stretches stays at the right. even makes all things of a line equally
    wide, as cards side by side are.
    """

    def __init__(self, *, spacing: int = Space.SMALL, line_spacing: int = Space.SMALL, even: bool = False) -> None:
        super().__init__()
        self._parts: list[_Part] = []
        self._even = even
        self._line_spacing = line_spacing
        self._heights: dict[int, int] = {}
        self._wanted: dict[_Part, int] = {}
        self.setSpacing(spacing)
        self.setContentsMargins(0, 0, 0, 0)

    def addItem(self, item: QLayoutItem) -> None:
        """Take an item over."""
        self._parts.append(_Part(item=item))
        self.invalidate()

    def addWidget(
        self, widget: QWidget, share: int = 0, alignment: Qt.AlignmentFlag = _CENTRE, *, whole: bool = False
    ) -> None:
        """Add a widget; with a share it takes what is left of its line.

        whole keeps a text that may break on one line as long as a line of its own holds it.
        """
        super().addWidget(widget)
        part = self._parts[-1]
        part.share, part.whole = share, whole
        if alignment is not FILL:
            part.item.setAlignment(alignment)

    def addLayout(self, layout: QLayout, share: int = 0) -> None:
        """Add a layout as one thing that does not break."""
        self.addChildLayout(layout)
        self._parts.append(_Part(item=layout, share=share))
        self.invalidate()

    def addStretch(self, share: int = 1) -> None:
        """Add empty room that pushes what follows to the right."""
        room = QSpacerItem(0, 0, QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        self._parts.append(_Part(item=room, share=share, spring=True))
        self.invalidate()

    def addSpacing(self, width_px: int) -> None:
        """Add empty room of one width."""
        room = QSpacerItem(width_px, 0, QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Minimum)
        self._parts.append(_Part(item=room))
        self.invalidate()

    def count(self) -> int:
        """Return how many items there are."""
        return len(self._parts)

    def itemAt(self, index: int) -> QLayoutItem | None:
        """Return an item, None beyond the end."""
        return self._parts[index].item if 0 <= index < len(self._parts) else None

    def takeAt(self, index: int) -> QLayoutItem | None:
        """Give an item away, None beyond the end."""
        self.invalidate()
        return self._parts.pop(index).item if 0 <= index < len(self._parts) else None

    def expandingDirections(self) -> Qt.Orientation:
        """Return that it takes the whole width and no more height than it needs."""
        return Qt.Orientation.Horizontal

    def hasHeightForWidth(self) -> bool:
        """Return that the height follows from the width."""
        return True

    def heightForWidth(self, width_px: int) -> int:
        """Return the height of all lines at a width."""
        if width_px not in self._heights:
            self._heights[width_px] = self._arrange(QRect(0, 0, width_px, 0), move=False)
        return self._heights[width_px]

    def invalidate(self) -> None:
        """Forget the lines that were laid out."""
        self._heights, self._wanted = {}, {}
        super().invalidate()

    def minimumSize(self) -> QSize:
        """Return the width of the widest thing in it and the height of one line."""
        sides = self._sides()
        parts = self._shown()
        width = max((part.least_px() for part in parts), default=0)
        height = max((part.item.minimumSize().height() for part in parts), default=0)
        return QSize(width + sides.width(), height + sides.height())

    def sizeHint(self) -> QSize:
        """Return the size of everything on one line."""
        parts = self._shown()
        width = sum(self._wanted_px(part) for part in parts) + self._gaps_px(parts) + self._sides().width()
        return QSize(width, self.heightForWidth(width))

    def setGeometry(self, rect: QRect) -> None:
        """Put everything in its place."""
        super().setGeometry(rect)
        self._arrange(rect, move=True)

    def _sides(self) -> QSize:
        margins = self.contentsMargins()
        return QSize(margins.left() + margins.right(), margins.top() + margins.bottom())

    def _shown(self) -> list[_Part]:
        return [part for part in self._parts if part.spring or not part.item.isEmpty() or part.item.spacerItem()]

    def _wanted_px(self, part: _Part) -> int:
        if part not in self._wanted:
            self._wanted[part] = part.wanted_px()
        return self._wanted[part]

    def _gaps_px(self, parts: list[_Part]) -> int:
        """Return the room between things; a spring needs none of its own."""
        return max(sum(not part.spring for part in parts) - 1, 0) * self.spacing()

    def _lines(self, width_px: int) -> list[list[_Part]]:
        lines: list[list[_Part]] = [[]]
        for part in self._shown():
            line = [*lines[-1], part]
            if self._needed_px(line) > width_px and _holds_something(lines[-1]):
                lines.append([part])
            else:
                lines[-1] = line
        return [line for line in lines if _holds_something(line)]

    def _needed_px(self, line: list[_Part]) -> int:
        wanted = [self._wanted_px(part) for part in line]
        return (max(wanted) * len(wanted) if self._even else sum(wanted)) + self._gaps_px(line)

    def _arrange(self, rect: QRect, *, move: bool) -> int:
        inside = rect.marginsRemoved(self.contentsMargins())
        lines = self._lines(inside.width())
        heights = []
        top, pushed = inside.top(), False
        for line in lines:
            widths = self._widths(line, inside.width())
            height = max(part.height_px(width) for part, width in zip(line, widths, strict=True))
            if move and len(lines) == 1:
                height = max(height, inside.height())
            left_over = inside.width() - sum(widths) - self._gaps_px(line)
            if move:
                left = inside.left() + (left_over if pushed else 0)
                self._place(line, widths, QRect(left, top, 0, height))
            pushed = pushed or any(part.share for part in line)
            heights.append(height)
            top += height + self._line_spacing
        return sum(heights) + self._line_spacing * max(len(lines) - 1, 0) + self._sides().height()

    def _widths(self, line: list[_Part], width_px: int) -> list[int]:
        if self._even:
            room = width_px - self._gaps_px(line)
            return [room * (place + 1) // len(line) - room * place // len(line) for place in range(len(line))]
        widths = [min(self._wanted_px(part), width_px) for part in line]
        left_over = max(width_px - sum(widths) - self._gaps_px(line), 0)
        shares = sum(part.share for part in line)
        for index, part in enumerate(line):
            if part.share:
                given = left_over * part.share // shares
                left_over, shares = left_over - given, shares - part.share
                widths[index] += given
        return widths

    def _place(self, line: list[_Part], widths: list[int], start: QRect) -> None:
        left = start.left()
        for part, width in zip(line, widths, strict=True):
            part.item.setGeometry(QRect(left, start.top(), width, start.height()))
            left += width if part.spring else width + self.spacing()


def _holds_something(line: list[_Part]) -> bool:
    return any(part.item.spacerItem() is None for part in line)


def _margins_px(label: QLabel) -> int:
    margins = label.contentsMargins()
    return margins.left() + margins.right() + 2 * label.margin()
