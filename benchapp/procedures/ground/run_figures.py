"""When the figure of a run that goes on is made anew, and what waits for it."""

from collections.abc import Callable, Sequence
from typing import Generic, TypeVar

from benchapp.procedures.ground.conclusions import Conclusions, FigureRequest
from benchapp.procedures.ground.moments import Moment
from benchapp.procedures.ground.open_run import OpenRun
from benchapp.records.stream import Record

Found = TypeVar("Found")


class RunFigures(Generic[Found]):
    """The figures of one run: made as soon as there is time, at once where something needs them, and at its end.

    rule     : looks at the figure once it is worked out, and says what follows; nothing else happens in the run before
    every_ns : how often the figure is made anew although nothing was closed; None while it is not
    """

    def __init__(self, run: OpenRun, conclusions: Conclusions[Found], asked: Callable[[int], FigureRequest]) -> None:
        """Make the figures of a run; asked returns what is to be concluded if it had ended at a moment [ns]."""
        self._run = run
        self._conclusions = conclusions
        self._asked = asked
        self._stale_ns: int | None = None
        self._made_ns = run.plan.start_ns
        self.rule: Callable[[], Sequence[Moment]] | None = None
        self.every_ns: int | None = None

    @property
    def found(self) -> Found:
        """The newest figures that were worked out."""
        return self._conclusions.found

    @property
    def up_to_date(self) -> bool:
        """Whether every figure that was asked for has been worked out."""
        return self._conclusions.up_to_date

    @property
    def stale(self) -> bool:
        """Whether a figure is wanted that there was no time for yet."""
        return self._stale_ns is not None

    @property
    def stand(self) -> bool:
        """Whether the figures are made anew no more until something needs them."""
        return not self._run.ended and self._conclusions.stands(self._run.now_ns)

    def add(self, records: Sequence[Record]) -> None:
        """Give the evidence that came since the last call."""
        self._conclusions.add(records)

    def want(self, at_ns: int) -> None:
        """Have the figure made up to a moment [ns], once there is time for it."""
        self._stale_ns = at_ns
        if self._conclusions.due(self._run.now_ns):
            self.make(at_ns)

    def make(self, at_ns: int) -> None:
        """Have the figure made up to a moment [ns], whatever it costs."""
        self._stale_ns = None
        self._conclusions.ask(self._asked(at_ns), self._run.now_ns)

    def refresh(self, seen_ns: int) -> None:
        """Have the figure made that is wanted or due, if there is time; everything up to seen_ns has been handled."""
        if self._stale_ns is not None:
            self.want(self._stale_ns)
        often = self.every_ns is not None and seen_ns - self._made_ns >= self.every_ns
        if often and self._conclusions.due(self._run.now_ns):
            self._made_ns = seen_ns
            self.make(seen_ns)
