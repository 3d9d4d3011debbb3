"""The card of a test: its name, what it answers, how long it takes, Start, and More for what may be chosen."""

from PySide6.QtCore import Signal, Slot
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QFrame, QSizePolicy, QVBoxLayout, QWidget

from benchapp.presentation.shown import CARDS
from benchapp.ui.look.theme import use_lengths
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.wrap_row import WrapRow

_LEAST_PX = 240


class TestCard(QFrame):
    """Starts its test, or shows what may be chosen for it; pressed anywhere else it is the one that is chosen."""

    __test__ = False

    pressed = Signal(str)
    start_wanted = Signal(str)
    more_wanted = Signal(str)

    def __init__(self, test: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.test = test
        self.setProperty("card", True)
        use_lengths(self, minimumWidth=_LEAST_PX)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        words = CARDS.of(test)
        self.title = PlainLabel(words.title, Type.LEAD, bold=True, wrap=True)
        self.takes = PlainLabel(words.takes, Type.BODY, soft=True, wrap=True)
        self.start = button("Start", Kind.MAIN, name=f"Start: {words.title}")
        self.start.clicked.connect(self._ask_start)
        self.choose = button("More", Kind.QUIET, name=f"More: what may be chosen for {words.title}")
        self.choose.setCheckable(True)
        self.choose.clicked.connect(self._ask_more)
        self.missing = PlainLabel("", Type.CAPTION, bold=True, wrap=True)
        self.missing.hide()
        column = QVBoxLayout(self)
        column.setContentsMargins(Space.LARGE, Space.LARGE, Space.LARGE, Space.MEDIUM)
        column.setSpacing(Space.SMALL)
        column.addWidget(self.title)
        column.addWidget(PlainLabel(words.answers, wrap=True))
        column.addWidget(self.takes)
        column.addWidget(self.missing)
        column.addStretch(1)
        acts = WrapRow()
        acts.addWidget(self.start, 1)
        acts.addWidget(self.choose)
        column.addLayout(acts)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Choose this card's test."""
        event.accept()
        self.pressed.emit(self.test)

    @Slot()
    def _ask_start(self) -> None:
        self.start_wanted.emit(self.test)

    @Slot()
    def _ask_more(self) -> None:
        self.more_wanted.emit(self.test)

    def show_missing(self, text: str) -> None:
        """Say which lead is missing, nothing where none is."""
        self.missing.show_text(text)
        self.missing.setVisible(bool(text))
