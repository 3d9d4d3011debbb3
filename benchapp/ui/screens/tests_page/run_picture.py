"""The picture of a run: lanes for flips, the moving target of a sweep, the marks of its stops, the strip of a hold."""

from collections.abc import Sequence

from PySide6.QtWidgets import QVBoxLayout, QWidget

from benchapp.acquisition.status import Status
from benchapp.presentation.live.stick_view import Drawn, stick_shown
from benchapp.ui.link.workbench import Workbench
from benchapp.ui.look.theme import Theme
from benchapp.ui.look.tokens import Space
from benchapp.ui.screens.tests_page.hold_picture import HoldPicture
from benchapp.ui.screens.tests_page.marks_picture import MarksPicture
from benchapp.ui.screens.tests_page.sweep_picture import SweepPicture
from benchapp.ui.widgets.lanes import Lanes
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
        frame = card()
        inside = QVBoxLayout(frame)
        inside.setContentsMargins(Space.LARGE, Space.LARGE, Space.LARGE, Space.SMALL)
        for picture in self._all:
            inside.addWidget(picture)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(frame)
        self._shown: QWidget | None = None
        self._holds = False
        self._show(self.lanes)

    @property
    def _all(self) -> tuple[QWidget, ...]:
        return (self.lanes, self.sweep, self.hold, self.marks)

    def begin(self, test: str, marks: Sequence[float], *, percent: bool) -> None:
        """Take up a run that is about to start."""
        self.sweep.forget()
        self.hold.begin(0)
        self.marks.show_marks(marks, percent=percent)

    def _show(self, shown: QWidget) -> None:
        if shown is not self._shown:
            self._shown = shown
            for picture in self._all:
                picture.setVisible(picture is shown)
            self.draw()

    def show_status(self, status: Status) -> None:
        """Show what a run says of itself at this moment."""
        if status.run is None:
            return
        stick = stick_shown(status.run)
        if stick is None:
            self._show(self.lanes)
            self.lanes.show_roles(_of_flips(dict(status.roles)))
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
