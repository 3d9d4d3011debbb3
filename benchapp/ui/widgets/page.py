"""The frame of every page: a title, a sentence, the task, and its actions at the foot."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QPushButton, QVBoxLayout, QWidget

from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.page_scroll import LANE_PX, PageScroll
from benchapp.ui.widgets.wrap_row import WrapRow


class PageFrame(QWidget):
    """A page; `task` is the layout the page fills, `foot` the row of its actions (the main one at the right)."""

    def __init__(self, title: str, sentence: str = "", *, scrolls: bool = True, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.title = PlainLabel(title, Type.TITLE, bold=True, wrap=True)
        self.sentence = PlainLabel(sentence, Type.LEAD, soft=True, wrap=True)
        if not sentence:
            self.sentence.hide()  # showing what has no place yet would open a window of its own for a moment
        self.head = WrapRow(spacing=Space.MEDIUM)
        self.head.setContentsMargins(0, 0, LANE_PX, 0)
        self.head.addWidget(self.title, 1, whole=True)
        outer = QVBoxLayout(self)
        # what scrolls reaches into the right margin, everything else keeps clear of that lane
        outer.setContentsMargins(Space.PAGE, Space.WIDE, Space.PAGE - LANE_PX, Space.LARGE)
        outer.setSpacing(Space.SMALL)
        outer.addLayout(self.head)
        self.task = QVBoxLayout()
        self.task.setSpacing(Space.MEDIUM)
        if scrolls:
            self.scroller = PageScroll()
            self.scroller.show_layout(self._told_task())
            outer.addWidget(self.scroller, 1)
        else:
            self.sentence.setContentsMargins(0, 0, LANE_PX, 0)
            outer.addWidget(self.sentence)
            outer.addSpacing(Space.SMALL)
            self.task.setContentsMargins(0, 0, LANE_PX, 0)
            outer.addLayout(self.task, 1)
        self.foot = WrapRow()
        self.foot.setContentsMargins(0, Space.SMALL, LANE_PX, 0)
        outer.addLayout(self.foot)

    def _told_task(self) -> QVBoxLayout:
        """Return the task under the page's sentence; it scrolls too, as large letters leave little room."""
        told = QVBoxLayout()
        told.setSpacing(Space.MEDIUM)
        told.addWidget(self.sentence)
        told.addLayout(self.task, 1)
        return told

    def main_button(self) -> QPushButton | None:
        """Return the button Enter presses, if the page has one."""
        return None


def card(parent: QWidget | None = None) -> QFrame:
    """Return an empty card."""
    frame = QFrame(parent)
    frame.setProperty("card", True)
    return frame


def rule() -> QFrame:
    """Return a hairline from left to right."""
    line = QFrame()
    line.setObjectName("rule")
    line.setFixedHeight(1)
    return line
