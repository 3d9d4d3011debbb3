"""What a test is made of for the run machine: watchers, its table, what it makes of what is seen, what it tells."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Protocol

from benchapp.procedures.ground.conclusions import RunFigures
from benchapp.procedures.ground.drive_request import DriveRequest
from benchapp.procedures.ground.moments import Moment
from benchapp.procedures.ground.progress import RunProgress
from benchapp.procedures.ground.table import Table
from benchapp.records.stream import Record


class Watcher(Protocol):
    """Tells from the records when something happened."""

    @property
    def open_since_ns(self) -> int | None:
        """Since when something goes on of which it is not known yet when it happened [ns]; None if nothing does."""

    def take(self, record: Record) -> list[Moment]:
        """Take the next record; return what it proved to have happened, in order."""

    def until(self, horizon_ns: int) -> list[Moment]:
        """Return what else has happened, given that every record up to the horizon has been taken."""


class Course(Protocol):
    """What a test makes of what happens in its run. It never applies anything itself: it returns what follows."""

    def means(self, moment: Moment) -> Sequence[Moment]:
        """Return what a moment means to the test: itself, something more exact, several things, or nothing."""

    def entered(self, moment: Moment, before: StrEnum) -> Sequence[Moment]:
        """Do what the test does when a moment has led from one state to the run's new one; return what follows."""

    def timers(self) -> list[Moment]:
        """Return the moments that only time brings, as far as they are known now."""

    def tell(self, progress: RunProgress) -> RunProgress:
        """Return what every run tells of itself, with what this test tells beside it."""


class LeftOut(Protocol):
    """Leaves single flips or stops of a run out by hand."""

    def drop(self, now_ns: int, at_ns: int | None) -> None:
        """Leave one out: the last one not yet left out, or the one at at_ns."""

    def undrop(self, now_ns: int, at_ns: int | None) -> None:
        """Take back the last drop, or that of the one at at_ns."""


@dataclass(frozen=True, kw_only=True, slots=True)
class TestParts:
    """One test, put together for one run.

    lag_ns   : a record that is older than this has arrived [ns]
    watchers : they take each record in this order
    keepers  : take each record after them, and keep of it what the test needs
    drivers  : say what the probe is to do now
    left_out : leaves flips or stops out; None where a test has nothing that can be
    """

    table: Table
    lag_ns: int
    watchers: tuple[Watcher, ...]
    course: Course
    figures: RunFigures[Any]
    keepers: tuple[Callable[[Record], None], ...] = ()
    drivers: tuple[Callable[[], Sequence[DriveRequest]], ...] = ()
    left_out: LeftOut | None = None
