"""A run: one instruction, the count, how sure we are, and how to stop and keep."""

from collections.abc import Callable

from PySide6.QtCore import Qt, QTimer, Signal, Slot
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QApplication, QHBoxLayout, QProgressBar, QPushButton, QVBoxLayout

from benchapp.acquisition.status import Status
from benchapp.acquisition.wishes import Drop, Mark, Note, Pause, Resume, StopRun, Undrop
from benchapp.presentation.run_shown import RunState, RunView
from benchapp.presentation.run_view import run_view
from benchapp.presentation.test_choice import switch_on_due
from benchapp.ui.tests_page.note_line import NoteLine
from benchapp.ui.tests_page.practice_switch import PracticeSwitch
from benchapp.ui.tests_page.values import RunValues
from benchapp.ui.theme import Theme
from benchapp.ui.tokens import Space, Type
from benchapp.ui.widgets.buttons import Kind, button
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.lanes import Lanes
from benchapp.ui.widgets.page import PageFrame, card
from benchapp.ui.workbench import Workbench

_BAR_STEPS = 1000
_LANES_S = 2.0
_SINGLE = [QKeySequence(key) for key in (Qt.Key.Key_Backspace, Qt.Key.Key_N, Qt.Key.Key_M)]
_BETWEEN_BEEPS_MS = 250


class RunPage(PageFrame):
    """Shows the run that goes on or the last one that ended; every key and button only asks."""

    see_findings = Signal()
    another = Signal()
    put_back = Signal()

    def __init__(self, theme: Theme, workbench: Workbench) -> None:
        super().__init__("", scrolls=False)
        self.title.hide()
        self._workbench = workbench
        self._shown: RunView | None = None
        self._state: RunState | None = None
        self.prompt = PlainLabel("", Type.PROMPT, bold=True, wrap=True)
        self.count = PlainLabel("", Type.COUNT, bold=True)
        self.beside = PlainLabel("", Type.BODY, soft=True, wrap=True)
        self.bar = QProgressBar()
        self.bar.setRange(0, _BAR_STEPS)
        self.bar.setTextVisible(False)
        self.values = RunValues()
        self.sentence_line = PlainLabel("", Type.LEAD, soft=True, wrap=True)
        self.switch = PracticeSwitch(theme)
        self.switch.flipped.connect(workbench.flip)
        self.lanes = Lanes(theme, workbench.live, compact=True)
        self.sounds = True
        self.blocks = 1
        self._asked_block = 0
        self._second_beep = QTimer(self)
        self._second_beep.setSingleShot(True)
        self._second_beep.setInterval(_BETWEEN_BEEPS_MS)
        self._second_beep.timeout.connect(self._beep)
        self.beep: Callable[[], None] = QApplication.beep
        self._acted_before = False
        self._single_keys_wanted = True
        self.note_line = NoteLine()
        self.note_line.written.connect(self._keep_note)
        self.note_line.left.connect(self._end_note)
        self._build_task()
        self._build_foot()
        self._build_keys()
        workbench.opened.connect(self._other_bench)
        workbench.closed.connect(self._other_bench)
        workbench.status_changed.connect(self.show_status)
        workbench.frame.connect(self._draw)
        workbench.telling.connect(self._tell)

    def main_button(self) -> QPushButton | None:
        """Return what Enter presses: carry on while paused, the findings once ended, nothing in between."""
        for made in (self.carry_on, self.findings_button):
            if made.isVisibleTo(self):
                return made
        return None

    def _build_task(self) -> None:
        self._tops = QVBoxLayout()
        self._tops.setSpacing(Space.MEDIUM)
        self._tops.addWidget(self.prompt)
        self._tops.addWidget(self.sentence_line)
        counts = QHBoxLayout()
        counts.setSpacing(Space.LARGE)
        counts.addWidget(self.count)
        counts.addWidget(self.beside, 1)
        self._tops.addLayout(counts)
        self._tops.addWidget(self.bar)
        self._tops.addSpacing(Space.SMALL)
        self._tops.addWidget(self.note_line)
        self._tops.addWidget(self.values)
        frame = card()
        inside = QVBoxLayout(frame)
        inside.setContentsMargins(Space.LARGE, Space.LARGE, Space.LARGE, Space.SMALL)
        inside.addWidget(self.lanes)
        self._tops.addWidget(frame, 1)
        sides = QHBoxLayout()
        sides.setSpacing(Space.WIDE)
        sides.addLayout(self._tops, 1)
        sides.addWidget(self.switch)
        self.task.addLayout(sides, 1)

    def _build_foot(self) -> None:
        self.drop = button("Drop last flip")
        self.drop.setToolTip("Backspace")
        self.undrop = button("Undo drop")
        self.undrop.setToolTip("Ctrl+Z")
        self.note_button = button("Note", name="Write a note into the session")
        self.note_button.setToolTip("N")
        self.pause = button("Pause")
        self.switch_on = button("Radio off and on", name="Switch the transmitter off and on between blocks")
        self.carry_on = button("Carry on", Kind.MAIN)
        self.stop = button("Stop and keep")
        self.stop.setToolTip("Esc")
        self.again_button = button("Another run")
        self.put_back_button = button("Put it back", name="Go to Put it back: make the radio as it was")
        self.findings_button = button("See the findings", Kind.MAIN)
        for made, slot in (
            (self.drop, self.drop_last),
            (self.undrop, self.undo_drop),
            (self.note_button, self.begin_note),
            (self.pause, self.ask_pause),
            (self.switch_on, self.ask_switch_on),
            (self.carry_on, self.ask_carry_on),
            (self.stop, self.stop_and_keep),
            (self.again_button, self.another),
            (self.put_back_button, self.put_back),
            (self.findings_button, self.see_findings),
        ):
            made.clicked.connect(slot)
            made.hide()
        for made in (self.drop, self.undrop, self.note_button):
            self.foot.addWidget(made)
        self.foot.addStretch(1)
        for made in (
            self.switch_on,
            self.pause,
            self.carry_on,
            self.stop,
            self.put_back_button,
            self.again_button,
            self.findings_button,
        ):
            self.foot.addWidget(made)

    def _build_keys(self) -> None:
        self._keys: list[QShortcut] = []
        self.single_keys: list[QShortcut] = []
        for key, slot in (
            (QKeySequence(Qt.Key.Key_Escape), self.stop_and_keep),
            (QKeySequence(Qt.Key.Key_Backspace), self.drop_last),
            (QKeySequence(QKeySequence.StandardKey.Undo), self.undo_drop),
            (QKeySequence(Qt.Key.Key_N), self.begin_note),
            (QKeySequence(Qt.Key.Key_M), self.mark),
        ):
            self._keys.append(QShortcut(key, self))
            self._keys[-1].setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            self._keys[-1].activated.connect(slot)
            if key in _SINGLE:
                self.single_keys.append(self._keys[-1])

    @Slot()
    def _other_bench(self) -> None:
        self._shown = self._state = None
        self.lanes.show_live(self._workbench.live)

    @Slot(object)
    def show_status(self, status: Status) -> None:
        """Show the run of this status, if there is one."""
        if status.run is None or not self.isVisible():
            return
        self.lanes.show_roles(dict(status.roles))
        self.switch.setVisible(self._workbench.practising)
        self.switch.show_level(self._workbench.driven_level)
        self._guide_switch_on(status)
        view = run_view(status.run, blocks=self.blocks)
        if view != self._shown:
            self._shown = view
            self._show(view)

    def begin(self, *, sounds: bool, blocks: int) -> None:
        """Take over what the run that is about to start was told: whether it sounds, how many switch-ons it has."""
        self.sounds, self.blocks, self._asked_block = sounds, blocks, 0

    def _guide_switch_on(self, status: Status) -> None:
        """Ask for the next switch-on once a block has its flips; once for each block."""
        run = status.run
        if run is not None and run.blocks > self._asked_block and switch_on_due(run, self.blocks):
            self._asked_block = run.blocks
            self._workbench.switch_on_again()

    def _sound(self, view: RunView) -> None:
        """Sound once when it is time to flip, and twice when the run is over."""
        act = view.act_now
        over = view.state is RunState.ENDED and self._state is RunState.GOING
        if self.sounds and ((act and not self._acted_before) or over):
            self._beep()
            if over:
                self._second_beep.start()
        self._acted_before = act

    @Slot()
    def _beep(self) -> None:
        self.beep()

    def _show(self, view: RunView) -> None:
        self._sound(view)
        self.prompt.show_text(view.prompt)
        self.count.show_text(view.count)
        self.beside.show_text(" · ".join(part for part in (view.blocks, view.dropped) if part))
        self.bar.setVisible(view.share is not None)
        self.bar.setValue(round((view.share or 0.0) * _BAR_STEPS))
        self.bar.setAccessibleName(view.count)
        self.values.show_view(view)
        self.sentence_line.show_text(view.sentence or " ")
        self._show_buttons(view)

    def _show_buttons(self, view: RunView) -> None:
        ended, paused = view.state is RunState.ENDED, view.state is RunState.PAUSED
        for made in (self.drop, self.undrop, self.note_button, self.stop):
            made.setVisible(not ended)
        self.drop.setEnabled(view.can_drop)
        self.undrop.setEnabled(view.can_undrop)
        for made in (self.pause, self.switch_on):
            made.setVisible(not ended and not paused)
        self.carry_on.setVisible(paused)
        for made in (self.put_back_button, self.again_button, self.findings_button):
            made.setVisible(ended)
        self.put_back_button.setVisible(ended and not self._workbench.practising)
        self.switch.setEnabled(not ended)
        for state, first in ((RunState.ENDED, self.findings_button), (RunState.PAUSED, self.carry_on)):
            if view.state is state and self._state is not state:
                first.setFocus()
        if view.state is RunState.GOING and self._state is not RunState.GOING and self._workbench.practising:
            self.switch.setFocus()
        self._state = view.state

    @Slot()
    def _draw(self) -> None:
        if self.isVisible():
            self.lanes.draw()

    @Slot()
    def _tell(self) -> None:
        if self.isVisible():
            self.lanes.tell()

    @Slot()
    def drop_last(self) -> None:
        """Ask to leave the last flip out."""
        self._workbench.wish(Drop())

    @Slot()
    def undo_drop(self) -> None:
        """Ask to take the last drop back."""
        self._workbench.wish(Undrop())

    @Slot()
    def begin_note(self) -> None:
        """Open the line for a note; until it is left, the page's keys are letters like any others."""
        if self._workbench.running:
            for key in self._keys:
                key.setEnabled(False)
            self.note_line.begin()

    @Slot(str)
    def _keep_note(self, text: str) -> None:
        self._workbench.wish(Note(text=text))
        self.beside.show_text("Note kept.")

    @Slot()
    def _end_note(self) -> None:
        self._enable_keys()
        self.switch.setFocus()

    def use_single_keys(self, wanted: bool) -> None:
        """Let single keys act, or leave them without meaning; Esc always stops and keeps."""
        self._single_keys_wanted = wanted
        self._enable_keys()

    def _enable_keys(self) -> None:
        for key in self._keys:
            key.setEnabled(self._single_keys_wanted or key not in self.single_keys)

    @Slot()
    def mark(self) -> None:
        """Mark this moment in the session."""
        if self._workbench.running:
            self._workbench.wish(Mark())
            self.beside.show_text("Marked.")

    @Slot()
    def ask_pause(self) -> None:
        """Ask for a pause."""
        self._workbench.wish(Pause())

    @Slot()
    def ask_switch_on(self) -> None:
        """Ask for a pause in which the transmitter is switched off and on."""
        self._workbench.switch_on_again()

    @Slot()
    def ask_carry_on(self) -> None:
        """Ask to carry on."""
        self._workbench.wish(Resume())

    @Slot()
    def stop_and_keep(self) -> None:
        """Ask to stop the run and keep it."""
        if self._workbench.running:
            self._workbench.wish(StopRun())
