"""The buttons below a run: what can be done with it now, and where to go once it is over."""

from collections.abc import Callable

from benchapp.presentation.live.run_shown import RunState, RunView
from benchapp.ui.widgets.buttons import BenchButton, Kind, button
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.wrap_row import WrapRow

LESS_THAN_HALF = "Less than half is done."


class RunFoot:
    """Makes the buttons and shows those that mean something; each calls what it was connected to."""

    def __init__(self, row: WrapRow) -> None:
        self.drop = button("Drop last flip")
        self.drop.setToolTip("Backspace")
        self.undrop = button("Undo drop")
        self.undrop.setToolTip("Ctrl+Z")
        self.note = button("Note", name="Write a note into the session")
        self.note.setToolTip("N")
        self.switch_on = button("Radio off and on", name="Switch the transmitter off and on between blocks")
        self.pause = button("Pause")
        self.stop = button("Stop and keep")
        self.stop.setToolTip("Esc")
        self.take = button("Take the mark", Kind.MAIN)
        self.take.setToolTip("Enter")
        self.carry_on = button("Carry on", Kind.MAIN)
        self.safe = button("Go to Make it safe", Kind.MAIN)
        self.put_back = button("Put it back", name="Go to Put it back: make the radio as it was")
        self.again = button("Another run")
        self.findings = button("See the findings", Kind.MAIN)
        self.asked = PlainLabel(LESS_THAN_HALF)
        self.go_on = button("Go on", name="Go on with the run")
        self.stop_now = button("Stop all the same", name="Stop the run all the same and keep it")
        self.stop_now.setToolTip("Esc")
        # far from where Start and Carry on stand; while it asks, a second click falls on words
        row.addWidget(self.stop)
        row.addWidget(self.asked)
        for made in (self.go_on, self.stop_now, self.drop, self.undrop, self.note):
            row.addWidget(made)
        row.addStretch(1)
        for made in (self.switch_on, self.pause, self.take, self.carry_on, self.safe):
            row.addWidget(made)
        for made in (self.put_back, self.again, self.findings):
            row.addWidget(made)
        self.still = False
        self.asking = False
        self.go_on.clicked.connect(self._take_back)
        self._able = dict.fromkeys(self.all, True)
        self.asked.hide()
        for made in self.all:
            made.hide()

    @property
    def all(self) -> tuple[BenchButton, ...]:
        """Every button, from left to right."""
        stopping = (self.stop, self.go_on, self.stop_now)
        doing = (self.drop, self.undrop, self.note, self.switch_on, self.pause, self.take, self.carry_on)
        return (*stopping, *doing, self.safe, self.put_back, self.again, self.findings)

    def connect_to(self, slots: dict[BenchButton, Callable[..., object]]) -> None:
        """Connect each button to what it does."""
        for made, slot in slots.items():
            made.clicked.connect(slot)

    def ask_stop(self) -> None:
        """Ask before a run of which less than half is done is stopped."""
        self._show_asking(asking=True, ended=False)

    def _take_back(self) -> None:
        self._show_asking(asking=False, ended=False)

    def _show_asking(self, *, asking: bool, ended: bool) -> None:
        self.asking = asking and not ended
        self.stop.setVisible(not ended and not self.asking)
        for part in (self.asked, self.go_on, self.stop_now):
            part.setVisible(self.asking)

    def keep_still(self, *, still: bool) -> None:
        """Let no button act for a moment, or each as it can again."""
        self.still = still
        for made, able in self._able.items():
            made.setEnabled(able and not still)

    def show_view(self, view: RunView, *, flips: bool, practising: bool) -> None:
        """Show the buttons of a run as it stands; flips: it is a test of the switch."""
        ended, paused = view.state is RunState.ENDED, view.state is RunState.PAUSED
        going = view.state is RunState.GOING
        if view.drop:
            self.drop.setText(view.drop)
            self.drop.setAccessibleName(view.drop)
        for made in (self.drop, self.undrop):
            made.setVisible(not ended and bool(view.drop))
        self._able[self.drop] = view.can_drop
        self._able[self.undrop] = view.can_undrop
        self.keep_still(still=self.still)
        self.note.setVisible(not ended)
        self._show_asking(asking=self.asking, ended=ended)
        self.pause.setVisible(going)
        self.switch_on.setVisible(going and flips)
        self.carry_on.setVisible(paused and not view.safe)
        self.safe.setVisible(bool(view.safe))
        self.take.setVisible(going and bool(view.take))
        if view.take:
            self.take.setText(view.take)
            self.take.setAccessibleName(view.take)
        for made in (self.again, self.findings):
            made.setVisible(ended)
        self.put_back.setVisible(ended and not practising)

    def main(self) -> BenchButton | None:
        """Return what Enter presses: carry on or what comes before it, take the mark, or the findings; else nothing."""
        for made in (self.carry_on, self.safe, self.take, self.findings):
            if not made.isHidden():
                return made
        return None
