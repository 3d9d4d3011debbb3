"""The rail on the left: the six steps, where we are, and what is done."""

from PySide6.QtCore import QSize, Signal, Slot
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QFrame, QSizePolicy, QVBoxLayout, QWidget

from benchapp.ui.kept.steps import NUMBERED, Step
from benchapp.ui.look.theme import Theme, scaled
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.widgets.buttons import BenchButton, Kind, button
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.marks import StepState, step_mark
from benchapp.ui.widgets.one_of import OneOf
from benchapp.ui.widgets.page_scroll import PageScroll

RAIL_PX = 212
_MARK_PX = 18


class Rail(QFrame):
    """One button a step. No step is locked; the marks say how far the job is."""

    chosen = Signal(Step)
    help_wanted = Signal()
    settings_wanted = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("rail")
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Preferred)
        self._theme = theme
        self._done: frozenset[Step] = frozenset()
        self._here = Step.START
        self.buttons: dict[Step, BenchButton] = {}
        column = QVBoxLayout()
        column.setSpacing(Space.HAIR)
        name = PlainLabel("Thumb to Horn", Type.LEAD, bold=True)
        name.setContentsMargins(Space.MEDIUM, Space.HAIR, Space.MEDIUM, Space.LARGE)
        column.addWidget(name)
        for step in Step:
            column.addWidget(self._step_button(step))
            if step is Step.START:
                column.addSpacing(Space.MEDIUM)
        column.addStretch(1)
        self.help = button("Help", Kind.STEP, name="Help for this page")
        self.help.setToolTip("F1")
        self.help.clicked.connect(self.help_wanted)
        self.settings = button("Settings", Kind.STEP)
        self.settings.setToolTip("Ctrl+,")
        self.settings.clicked.connect(self.settings_wanted)
        column.addWidget(self.settings)
        column.addWidget(self.help)
        scroller = PageScroll(lane_px=Space.MEDIUM)
        scroller.show_layout(column)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(Space.MEDIUM, Space.WIDE, 0, Space.LARGE)
        outer.addWidget(scroller)
        self._steps = OneOf(list(self.buttons.values()), self)
        self._steps.chosen.connect(self._tell)
        theme.changed.connect(self._show)
        self._show()

    def sizeHint(self) -> QSize:
        """Return room for the longest of the words, and no less than is usual."""
        hint = super().sizeHint()
        return QSize(max(RAIL_PX, super().minimumSizeHint().width()), hint.height())

    def minimumSizeHint(self) -> QSize:
        """Return the same width: words are never cut."""
        return QSize(self.sizeHint().width(), super().minimumSizeHint().height())

    def _step_button(self, step: Step) -> BenchButton:
        made = button(step.words, Kind.STEP, parent=self)
        if step in NUMBERED:
            made.setToolTip(f"Ctrl+{NUMBERED.index(step) + 1}")
        self.buttons[step] = made
        return made

    def show_place(self, here: Step, done: frozenset[Step]) -> None:
        """Mark which step is shown and which ones are done."""
        if (here, done) != (self._here, self._done):
            self._here, self._done = here, done
            self._show()

    @Slot()
    def _show(self) -> None:
        self._steps.choose(list(self.buttons).index(self._here))
        for step, made in self.buttons.items():
            state = self._state(step)
            colour = self._theme.colour("soft_ink" if state is StepState.OPEN else "action")
            if step in NUMBERED:
                side = scaled(_MARK_PX)
                made.setIconSize(QSize(side, side))
                made.setIcon(QIcon(step_mark(state, colour, self.devicePixelRatioF(), side)))
            made.setAccessibleName(f"{step.words}, {state.value}" if step in NUMBERED else step.words)

    def _state(self, step: Step) -> StepState:
        if step is self._here:
            return StepState.HERE
        return StepState.DONE if step in self._done else StepState.OPEN

    @Slot(int)
    def _tell(self, index: int) -> None:
        self.chosen.emit(list(self.buttons)[index])
