"""What may be chosen for a named test in the window: the form that each has, and the usual one."""

from collections.abc import Callable

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from benchapp.acquisition.wishes import StartRun
from benchapp.presentation.live.stick_view import StickChoice
from benchapp.records.named_tests import Parts
from benchapp.records.run import RunSettings
from benchapp.ui.kept.settings import Settings
from benchapp.ui.link.workbench import Workbench
from benchapp.ui.look.theme import use_lengths
from benchapp.ui.screens.tests_page.option_grid import Option, OptionGrid
from benchapp.ui.widgets.labels import PlainLabel
from benchapp.ui.widgets.number_field import NumberField

_USUAL_S = 20
_LONGEST_S = 3600
_FIELD_PX = 84


class TestOptions(QWidget):
    """The options of a test; `changed` where what is set may stand in the way of the run."""

    __test__ = False

    changed = Signal()

    @property
    def is_by_stops(self) -> bool:
        """Whether positions are typed."""
        return False

    def problem(self) -> str:
        """Return why the run cannot be started as it is set, "" where it can."""
        return ""

    def wish(self) -> StartRun:
        """Return the run as it is set."""
        raise NotImplementedError

    def chosen(self) -> StickChoice | None:
        """Return what the run page must know of a test of the stick; None for any other."""
        return None

    def show_bench(self) -> None:
        """Offer what this bench can do."""

    def bench_hand(self) -> str:
        """Return what to say where the practice bench's own hand does the moving, "" where a person's does."""
        return ""

    def tell(self) -> None:
        """Say what the options propose for what is seen now."""


class HowLong(TestOptions):
    """The options of a test that asks for nothing but how long it lasts."""

    def __init__(self, test: str) -> None:
        super().__init__()
        self._test = test
        self.seconds = NumberField(_USUAL_S, least=1, most=_LONGEST_S)
        use_lengths(self.seconds, maximumWidth=_FIELD_PX)
        self.seconds.setAccessibleName("How many seconds")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(OptionGrid(Option("How long", self.seconds, PlainLabel("seconds"))))

    def wish(self) -> StartRun:
        """Return the run as it is set."""
        return StartRun(test=self._test, settings=RunSettings(seconds=float(self.seconds.value())))


OPTIONS: Parts[Callable[[Workbench, Settings], TestOptions]] = Parts("benchapp.ui.screens.tests_page.{}_options")


def options_of(test: str, workbench: Workbench, settings: Settings) -> TestOptions:
    """Return the form of a test; settings are those the window remembers."""
    make = OPTIONS.find(test)
    return HowLong(test) if make is None else make(workbench, settings)
