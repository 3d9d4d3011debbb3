"""The picture of a run: the last flip held above a strip of all of them, and the pictures of the stick tests.

Until the first flip was measured, its leads are shown live: a person sees that pulses arrive.
"""

from collections.abc import Sequence

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from benchapp.acquisition.status import Status
from benchapp.presentation.live.flip_strip import flip_strip, strip_figure
from benchapp.presentation.live.last_flip import flip_words, newest_flip
from benchapp.presentation.live.run_shown import RunView
from benchapp.presentation.live.stick_view import Drawn, stick_shown
from benchapp.presentation.live.sweep_curve import sweep_curve
from benchapp.records.findings import Latency
from benchapp.records.flip_seen import FlipSeen
from benchapp.records.sweep_findings import Linearity
from benchapp.ui.link.flip_held import held_flip
from benchapp.ui.link.workbench import Workbench
from benchapp.ui.look.theme import Theme
from benchapp.ui.look.tokens import Space
from benchapp.ui.screens.tests_page.curve_picture import CurvePicture
from benchapp.ui.screens.tests_page.flip_strip import FlipStrip
from benchapp.ui.screens.tests_page.hold_picture import HoldPicture
from benchapp.ui.screens.tests_page.marks_picture import MarksPicture
from benchapp.ui.screens.tests_page.sweep_picture import SweepPicture
from benchapp.ui.widgets.lanes import Lanes
from benchapp.ui.widgets.last_flip import LastFlip
from benchapp.ui.widgets.page import card


class RunPicture(QWidget):
    """Shows the one picture that goes with the test."""

    def __init__(self, theme: Theme, workbench: Workbench) -> None:
        super().__init__()
        self._workbench = workbench
        self.lanes = Lanes(theme, workbench.live, compact=True)
        self.sweep = SweepPicture(theme)
        self.hold = HoldPicture(theme)
        self.marks = MarksPicture(theme)
        self.last_flip = LastFlip(theme)
        self.strip = FlipStrip(theme)
        self._frame = card()
        self.curve = CurvePicture(theme)
        self.curve.hide()
        self._line: Linearity | None = None
        sides = QHBoxLayout(self._frame)
        sides.setContentsMargins(Space.LARGE, Space.LARGE, Space.LARGE, Space.SMALL)
        sides.setSpacing(Space.LARGE)
        inside = QVBoxLayout()
        sides.addLayout(inside, 3)
        sides.addWidget(self.curve, 2)
        inside.setContentsMargins(0, 0, 0, 0)
        for picture in self._all:
            inside.addWidget(picture)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.setSpacing(Space.MEDIUM)
        outer.addWidget(self._frame, 1)
        outer.addWidget(self.last_flip, 5)
        outer.addWidget(self.strip, 2)
        self._held: FlipSeen | None = None
        self._found: Latency | None = None
        self._shown: QWidget | None = None
        self._holds = False
        self._show(self.lanes)

    @property
    def _all(self) -> tuple[QWidget, ...]:
        return (self.lanes, self.sweep, self.hold, self.marks)

    def begin(self, test: str, marks: Sequence[float], *, percent: bool) -> None:
        """Take up a run that is about to start."""
        self._held = self._found = None
        self.strip.show_strip(None)
        self.sweep.forget()
        self.hold.begin(0)
        self.marks.show_marks(marks, percent=percent)

    def _show(self, shown: QWidget) -> None:
        if shown is not self._shown:
            self._shown = shown
            for picture in self._all:
                picture.setVisible(picture is shown)
            self._frame.setVisible(shown is not self.last_flip)
            for part in (self.last_flip, self.strip):
                part.setVisible(shown is self.last_flip)
            self.draw()

    def show_status(self, status: Status) -> None:
        """Show what a run says of itself at this moment; the last flip stays until another was measured."""
        if status.run is None:
            return
        stick = stick_shown(status.run)
        self._show_curve(None if status.run.stick is None else status.run.stick.found)
        if stick is None:
            self._show_flips(status)
        elif stick.drawn is Drawn.HOLD:
            self._show(self.hold)
            if stick.untouched and not self._holds and status.now_ns is not None:
                self.hold.begin(status.now_ns)
            self._holds = stick.untouched
        elif stick.drawn is Drawn.MARKS:
            self._show(self.marks)
            self.marks.show_stick(stick)
        else:
            self._show(self.sweep)
            if status.now_ns is not None and not stick.over:
                self.sweep.add(status.now_ns / 1e9, stick)

    def _show_flips(self, status: Status) -> None:
        run = status.run
        if run is None:
            return
        flip = newest_flip(run, status.last_flip)
        if flip is not None and flip != self._held:
            self._held = flip
            drawn = held_flip(self._workbench.live, status.roles, status.polarity, flip)
            self.last_flip.show_flip(flip_words(flip, run.found), drawn)
        if self._held is None:
            self._show(self.lanes)
            self.lanes.show_roles(_of_flips(dict(status.roles)))
            return
        self._show(self.last_flip)
        self.strip.picture.advance()
        if run.found is not self._found:
            self._found = run.found
            self.strip.show_strip(flip_strip(run.found, wanted=run.wanted))

    def show_view(self, view: RunView) -> None:
        """Show the figure so far beside its flips."""
        self.strip.show_figure(strip_figure(view.titles[1], view.figure, view.give_or_take, view.beside))

    def _show_curve(self, found: Linearity | None) -> None:
        """Show the curve of a sweep beside what its stick does, as it grows."""
        if found is not self._line:
            self._line = found
            self.curve.show_curve(sweep_curve(found))

    def draw(self) -> None:
        """Draw what arrived."""
        if self.lanes.isVisible():
            self.lanes.draw()
        status = self._workbench.status
        if self.hold.isVisible() and status is not None:
            self.hold.draw(self._workbench.live, status.roles)

    def tell(self) -> None:
        """Say in words what is seen."""
        if self.lanes.isVisible():
            self.lanes.tell()


def _of_flips(roles: dict[int, str]) -> dict[int, str]:
    """Return the roles of a run of flips: a stick that is not what is moved has no lane."""
    if "switch" not in roles.values():
        return roles
    return {lead: role for lead, role in roles.items() if role != "stick"}
