"""The frame of every page: a title, a sentence, the task, and its actions at the foot."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QScrollArea, QVBoxLayout, QWidget

from benchapp.ui.tokens import Space, Type
from benchapp.ui.widgets.labels import PlainLabel


class PageFrame(QWidget):
    """A page; `task` is the layout the page fills, `foot` the row of its actions (the main one at the right)."""

    def __init__(self, title: str, sentence: str = "", *, scrolls: bool = True, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("page")
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self.title = PlainLabel(title, Type.TITLE, bold=True)
        self.sentence = PlainLabel(sentence, Type.LEAD, soft=True, wrap=True)
        self.sentence.setVisible(bool(sentence))
        self.head = QHBoxLayout()
        self.head.setSpacing(Space.MEDIUM)
        self.head.addWidget(self.title)
        self.head.addStretch(1)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(Space.PAGE, Space.WIDE, Space.PAGE, Space.LARGE)
        outer.setSpacing(Space.SMALL)
        outer.addLayout(self.head)
        outer.addWidget(self.sentence)
        outer.addSpacing(Space.SMALL)
        self.task = QVBoxLayout()
        self.task.setSpacing(Space.MEDIUM)
        if scrolls:
            outer.addWidget(scrolling(self.task), 1)
        else:
            outer.addLayout(self.task, 1)
        self.foot = QHBoxLayout()
        self.foot.setSpacing(Space.SMALL)
        self.foot.setContentsMargins(0, Space.SMALL, 0, 0)
        outer.addLayout(self.foot)

    def main_button(self) -> QPushButton | None:
        """Return the button Enter presses, if the page has one."""
        return None


def scrolling(layout: QVBoxLayout) -> QScrollArea:
    """Return an area that scrolls what the layout holds, up and down only."""
    inner = QWidget()
    inner.setObjectName("scrolled")
    layout.setContentsMargins(0, 0, Space.SMALL, 0)
    inner.setLayout(layout)
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setWidget(inner)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    area.viewport().setFocusPolicy(Qt.FocusPolicy.NoFocus)
    return area


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
