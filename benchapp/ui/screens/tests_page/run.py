"""A run: one instruction, the count, how sure we are, and how to stop and keep."""

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QHBoxLayout, QProgressBar, QPushButton, QVBoxLayout, QWidget

from benchapp.acquisition.status import Status
from benchapp.acquisition.wishes import Drop, Mark, Note, Pause, Resume, StartRun, StopRun, TakeStop, Undrop
from benchapp.presentation.live.run_shown import RunState, RunView, asking_again, left_words
from benchapp.presentation.live.run_view import run_view
from benchapp.presentation.live.stick_view import StickChoice
from benchapp.presentation.screens.safety_view import lines_asked_again
from benchapp.records.events import SWITCH_ON
from benchapp.ui.link.workbench import Workbench
from benchapp.ui.look.theme import Theme
from benchapp.ui.look.tokens import Space, Type
from benchapp.ui.screens.tests_page.calm import Calm
from benchapp.ui.screens.tests_page.note_line import NoteLine
from benchapp.ui.screens.tests_page.practice_stick import PracticeStick
from benchapp.ui.screens.tests_page.practice_switch import PracticeSwitch
from benchapp.ui.screens.tests_page.run_foot import RunFoot
from benchapp.ui.screens.tests_page.run_keys import RunKeys
from benchapp.ui.screens.tests_page.run_picture import RunPicture
from benchapp.ui.screens.tests_page.run_sounds import RunSounds
from benchapp.ui.screens.tests_page.stick_mover import StickMover
from benchapp.ui.screens.tests_page.values import RunValues
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.page import PageFrame
from benchapp.ui.widgets.page_scroll import PageScroll
from benchapp.ui.widgets.wrap_row import WrapRow

_BAR_STEPS = 1000
_HALF = 0.5


class RunPage(PageFrame):
    """Shows the run that goes on or the last one that ended; every key and button only asks."""

    see_findings = Signal()
    another = Signal()
    put_back = Signal()
    go_safe = Signal()

    def __init__(self, theme: Theme, workbench: Workbench) -> None:
        super().__init__("", scrolls=False)
        self.title.hide()
        self._workbench = workbench
        self._shown: RunView | None = None
        self._state: RunState | None = None
        self._focused: tuple[object, ...] = ()
        self._chosen: StickChoice | None = None
        self._asked_block = 0
        self.calm = Calm()
        self._make_parts(theme)
        self._build_task()
        self._connect_foot()
        self.keys = RunKeys(
            self,
            {
                QKeySequence(Qt.Key.Key_Escape): self.stop_and_keep,
                QKeySequence(Qt.Key.Key_Backspace): self.drop_last,
                QKeySequence(QKeySequence.StandardKey.Undo): self.undo_drop,
                QKeySequence(Qt.Key.Key_N): self.begin_note,
                QKeySequence(Qt.Key.Key_M): self.mark,
            },
        )
        workbench.opened.connect(self._other_bench)
        workbench.closed.connect(self._other_bench)
        workbench.status_changed.connect(self.show_status)
        workbench.frame.connect(self._draw)
        workbench.telling.connect(self._tell)

    def _make_parts(self, theme: Theme) -> None:
        self.prompt = PlainLabel("", Type.PROMPT, bold=True, wrap=True)
        self.sentence_line = PlainLabel("", Type.LEAD, soft=True, wrap=True)
        self.count = PlainLabel("", Type.COUNT, bold=True, wrap=True)
        self.left_line = PlainLabel("", Type.BODY, soft=True, wrap=True)
        self.how = PlainLabel("", Type.COUNT, bold=True)
        self.beside = PlainLabel("", Type.BODY, soft=True, wrap=True)
        self.bar = QProgressBar()
        self.bar.setRange(0, _BAR_STEPS)
        self.bar.setTextVisible(False)
        self.values = RunValues()
        self.picture = RunPicture(theme, self._workbench)
        self.lanes = self.picture.lanes
        self.switch = PracticeSwitch(theme)
        self.switch.flipped.connect(self._workbench.flip)
        self.stick = PracticeStick(theme)
        self.stick.taken.connect(self.take_stop)
        self.stick.hide()
        self.mover = StickMover(self._workbench.stick, self.stick)
        self.noise = RunSounds(self)
        self.note_line = NoteLine()
        self.note_line.written.connect(self._keep_note)
        self.note_line.left.connect(self._end_note)

    def _build_task(self) -> None:
        first = WrapRow(spacing=Space.LARGE, line_spacing=0)
        first.addWidget(self.prompt, 1, whole=True)
        first.addWidget(self.count, whole=True)
        small = WrapRow(spacing=Space.LARGE, line_spacing=0)
        small.addWidget(self.sentence_line, 1)
        for part in (self.beside, self.left_line):
            small.addWidget(part, whole=True)
        tops = QVBoxLayout()
        tops.setSpacing(Space.SMALL)
        tops.addLayout(first)
        tops.addLayout(small)
        tops.addWidget(self.bar)
        tops.addWidget(self.how)
        tops.addSpacing(Space.HAIR)
        tops.addWidget(self.note_line)
        tops.addWidget(self.values)
        tops.addWidget(self.picture, 1)
        sides = QHBoxLayout()
        sides.setSpacing(Space.WIDE)
        # what is read scrolls where letters are large; what is acted on stays in reach
        self.scroller = PageScroll(lane_px=0)
        self.scroller.show_layout(tops)
        sides.addWidget(self.scroller, 1)
        sides.addWidget(self.switch)
        sides.addWidget(self.stick)
        self.task.addLayout(sides, 1)

    def _connect_foot(self) -> None:
        self.buttons = RunFoot(self.foot)
        self.carry_on, self.stop, self.switch_on = self.buttons.carry_on, self.buttons.stop, self.buttons.switch_on
        self.again_button, self.findings_button = self.buttons.again, self.buttons.findings
        self.put_back_button = self.buttons.put_back
        self.buttons.connect_to(
            {
                self.buttons.drop: self.drop_last,
                self.buttons.undrop: self.undo_drop,
                self.buttons.note: self.begin_note,
                self.buttons.pause: self.ask_pause,
                self.buttons.switch_on: self.ask_switch_on,
                self.buttons.take: self.take_stop,
                self.buttons.carry_on: self.ask_carry_on,
                self.buttons.stop: self.stop_and_keep,
                self.buttons.stop_now: self.stop_and_keep,
                self.buttons.safe: self.go_safe.emit,
                self.buttons.again: self.another.emit,
                self.buttons.put_back: self.put_back.emit,
                self.buttons.findings: self.see_findings.emit,
            }
        )

    def main_button(self) -> QPushButton | None:
        """Return what Enter presses: carry on while paused, take the mark, the findings once ended."""
        return self.buttons.main()

    @property
    def sounds(self) -> bool:
        """Whether the sounds of the run are on."""
        return self.noise.wanted

    def use_sounds(self, *, wanted: bool) -> None:
        """Let the run sound from now on, or not."""
        self.noise.use(wanted=wanted)

    def begin(self, wish: StartRun, *, sounds: bool, chosen: StickChoice | None) -> None:
        """Take over what the run that is about to start was told: sounds, how a stick test is to go."""
        self._asked_block, self._chosen = 0, chosen
        self.use_sounds(wanted=sounds)
        self.calm.begin()
        self.buttons.keep_still(still=True)
        marks = wish.settings.stops_deg
        self.picture.begin(wish.test, marks, percent=chosen is not None and chosen.percent)
        self.mover.begin(chosen)
        self.stick.show_marks(marks)

    @Slot()
    def _other_bench(self) -> None:
        self._shown = self._state = None
        self._focused = ()
        self.lanes.show_live(self._workbench.live)

    @Slot(object)
    def show_status(self, status: Status) -> None:
        """Show the run of this status, if there is one."""
        run = status.run
        if run is not None and not self._is_over():
            self.mover.follow(status)
        if run is None or not self.isVisible():
            return
        self.picture.show_status(status)
        self.switch.setVisible(self._workbench.practising and run.stick is None)
        self.switch.show_level(self._workbench.driven_level)
        self.stick.setVisible(self.mover.by_hand and run.stick is not None)
        self.stick.show_next(run.stick.next_deg if run.stick is not None else None)
        self._guide_switch_on(status)
        self._end_calm()
        again = lines_asked_again(status.refusals)
        view = asking_again(run_view(run, chosen=self._chosen), again)
        if view != self._shown:
            self._show(view, flips=run.stick is None)
            self._shown = view

    def _too_early(self) -> bool:
        """Return whether a key was meant for the run that has just ended."""
        return self._state is RunState.ENDED and not self.calm.over

    def _end_calm(self) -> None:
        """Let the buttons act again once a hasty hand has had its moment; the keyboard goes on to the findings."""
        if self.buttons.still and self.calm.over:
            self.buttons.keep_still(still=False)
            if self._shown is not None and self._shown.state is RunState.ENDED and self.hasFocus():
                self._place_focus(self._shown)

    def _is_over(self) -> bool:
        """Return whether the page has already shown that the run ended."""
        return self._state is RunState.ENDED and not self._workbench.running

    def _guide_switch_on(self, status: Status) -> None:
        """Have the radio switched off and on where the run waits for it; once for each switch-on."""
        run = status.run
        if run is not None and run.paused == SWITCH_ON and run.blocks > self._asked_block:
            self._asked_block = run.blocks
            self._workbench.switch_on_again()

    def _show(self, view: RunView, *, flips: bool) -> None:
        self.noise.hear(view, acts=self._chosen is None or not self._chosen.bench)
        before = self._shown
        self.prompt.show_text(view.prompt)
        self.sentence_line.show_text(view.sentence or " ")
        self.count.show_text(view.count)
        if before is None or (before.blocks, before.dropped, before.state) != (view.blocks, view.dropped, view.state):
            self.beside.show_text(" · ".join(part for part in (view.blocks, view.dropped) if part))
        if before is None or before.prompt != view.prompt or not view.how:
            self.how.show_text(view.how)
        self.bar.setVisible(view.share is not None)
        self.bar.setValue(round((view.share or 0.0) * _BAR_STEPS))
        self.bar.setAccessibleName(view.count)
        self.left_line.show_text(left_words(view) if flips else "")
        self.how.setVisible(not flips)
        self.values.setVisible(not flips)
        self.values.show_view(view)
        self.picture.show_view(view)
        self.buttons.show_view(view, flips=flips, practising=self._workbench.practising)
        self.switch.setEnabled(view.state is not RunState.ENDED)
        self.stick.setEnabled(view.state is not RunState.ENDED)
        if view.state is RunState.ENDED and self._state in (RunState.GOING, RunState.PAUSED):
            self.calm.begin()
            self.buttons.keep_still(still=True)
        wanted = (view.state, view.by_itself, bool(view.safe), self._control())
        if wanted != self._focused:
            self._focused = wanted
            self._place_focus(view)
        self._state = view.state

    def _place_focus(self, view: RunView) -> None:
        """Give the keyboard to what is wanted next; never to a button that a hasty Enter would press by mistake."""
        if view.state is RunState.ENDED:
            (self if self.buttons.still else self.findings_button).setFocus()
        elif view.state is RunState.PAUSED and not view.by_itself:
            (self.buttons.safe if view.safe else self.carry_on).setFocus()
        else:
            self._control().setFocus()

    def _control(self) -> QWidget:
        """Return what a person acts on: the practice switch or stick, else the page itself."""
        shown = (control for control in (self.switch, self.stick) if control.isVisibleTo(self))
        return next(shown, self)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Let the space bar take a mark, as Enter does."""
        if event.key() == Qt.Key.Key_Space and not event.isAutoRepeat():
            self.take_stop()
            return
        super().keyPressEvent(event)

    @Slot()
    def _draw(self) -> None:
        if self.isVisible():
            self.picture.draw()

    @Slot()
    def _tell(self) -> None:
        if self.isVisible():
            self.picture.tell()
            if self._shown is not None:
                self.how.show_text(self._shown.how)

    @Slot()
    def drop_last(self) -> None:
        """Ask to leave the last flip or stop out; say why where none can be."""
        if self._too_early():
            return
        if self._shown is not None and self._shown.no_drop and self._workbench.running:
            self.beside.show_text(self._shown.no_drop)
            return
        self._workbench.wish(Drop())

    @Slot()
    def undo_drop(self) -> None:
        """Ask to take the last drop back."""
        if not self._too_early():
            self._workbench.wish(Undrop())

    @Slot()
    def take_stop(self) -> None:
        """Ask to take the mark the stick is set to."""
        if self._shown is not None and self._shown.take and self._workbench.running:
            self._workbench.wish(TakeStop())

    @Slot()
    def begin_note(self) -> None:
        """Open the line for a note; until it is left, the page's keys are letters like any others."""
        if self._workbench.running:
            self.keys.rest()
            self.note_line.begin()

    @Slot(str)
    def _keep_note(self, text: str) -> None:
        self._workbench.wish(Note(text=text))
        self.beside.show_text("Note kept.")

    @Slot()
    def _end_note(self) -> None:
        self.keys.act()
        self._control().setFocus()

    def use_single_keys(self, wanted: bool) -> None:
        """Let single keys act, or leave them without meaning; Esc always stops and keeps."""
        self.keys.use_single(wanted)

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
        status = self._workbench.status
        if status is not None and status.run is not None:
            self._asked_block = status.run.blocks
        self._workbench.switch_on_again()

    @Slot()
    def ask_carry_on(self) -> None:
        """Ask to carry on."""
        self._workbench.wish(Resume())

    @Slot()
    def stop_and_keep(self) -> None:
        """Ask to stop the run and keep it; while less than half is done, only once that was asked for again."""
        if not self._workbench.running:
            return
        share = self._shown.share if self._shown is not None else None
        if share is not None and share < _HALF and not self.buttons.asking:
            self.buttons.ask_stop()
            self._control().setFocus()
            return
        self._workbench.wish(StopRun())
