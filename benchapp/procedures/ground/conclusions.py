"""The live figures of a run that goes on: asked for by its machine, worked out by the reduction beside it.

A figure worked out from the whole run at every flip, in the thread that reads the port, cost the square of the run. So
one thread of its own works them out, at a tenth of the time. Where a stop rule has to look at a figure, the run's
machine waits in its own time while the port is read on; a practice bench at a flat pace is not read meanwhile, so that
a run ends at the same flip wherever its figure is made.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Generic, Protocol, TypeVar

from benchapp.procedures.ground.evidence_so_far import Column, EvidenceSoFar, MemoryColumn
from benchapp.procedures.ground.moments import Moment
from benchapp.procedures.ground.open_run import OpenRun
from benchapp.records.run import Outcome, Pause, RunEvidence, Stop
from benchapp.records.stream import Record

SHOWN_FOR_NS = 1_800_000_000_000
"""A figure is concluded anew for the first half hour of a run; after that it stands until something needs it (a stop
rule, a drop, the end), so that what a run costs and keeps in memory does not grow with the square of its length."""
GROWN_BY = 200
"""Nor is it concluded anew before the run has grown by a 200th: at ten minutes every three seconds."""
_BATCH = 256

Found = TypeVar("Found")


class Helper(Protocol):
    """Works figures out in the order they are asked for, at once or on its own thread; asking never waits."""

    @property
    def free(self) -> bool:
        """Whether work that can wait may be given: the helper has not had more than its share of the time."""

    def do(self, work: Callable[[], None]) -> None:
        """Take work to be done after all work given before."""

    def column(self) -> Column:
        """Return where a series of numbers is kept; it is touched by work alone."""


class AtOnce:
    """A helper without a thread: it does all work there and then, and keeps everything in memory."""

    free = True

    def do(self, work: Callable[[], None]) -> None:
        """Do the work there and then."""
        work()

    def column(self) -> Column:
        """Return a series that is kept in memory."""
        return MemoryColumn()


@dataclass(frozen=True, kw_only=True, slots=True)
class FigureRequest:
    """The figures that are wanted: those of the run as if it had ended at stop_ns."""

    stop_ns: int
    pauses: tuple[Pause, ...]
    drops_ns: tuple[int, ...] = ()
    outcome: Outcome = Outcome.CUT_SHORT
    stopped_itself: bool = False
    stops: tuple[Stop, ...] = ()


class RunFigures(Generic[Found]):
    """The figures of one run: made as soon as there is time, at once where something needs them, and at its end.

    It passes evidence and requests to a helper in order, and holds the newest answer. conclude runs wherever the helper
    works; it is given values and returns one, so that no two threads share a thing.

    rule     : looks at the figure once it is worked out, and says what follows; nothing else happens in the run before
    every_ns : how often the figure is made anew although nothing was closed; None while it is not
    """

    def __init__(
        self,
        run: OpenRun,
        helper: Helper | None,
        conclude: Callable[[RunEvidence], Found],
        asked: Callable[[int], FigureRequest],
        *,
        before: Found,
        roles: Sequence[str] = (),
    ) -> None:
        """Begin for a run, with what is found before anything was concluded; without a helper all is done at once.

        asked returns what is to be concluded if the run had ended at a moment [ns]. The leads of these roles are looked
        at; those of the control and the output where none are named.
        """
        self._run = run
        self._helper = helper or AtOnce()
        self._evidence = EvidenceSoFar(run.plan, roles, column=self._helper.column)
        self._conclude = conclude
        self._asked = asked
        self._waiting: list[Record] = []
        self._requests = 0
        self._answer = (0, before)
        self._made_ns = self._seen_ns = run.plan.start_ns
        self._stale_ns: int | None = None
        self.rule: Callable[[], Sequence[Moment]] | None = None
        self.every_ns: int | None = None

    @property
    def found(self) -> Found:
        """The newest figures that were worked out."""
        return self._answer[1]

    @property
    def up_to_date(self) -> bool:
        """Whether every figure that was asked for has been worked out."""
        return self._answer[0] == self._requests

    @property
    def stale(self) -> bool:
        """Whether a figure is wanted that there was no time for yet."""
        return self._stale_ns is not None

    @property
    def stand(self) -> bool:
        """Whether the figures are made anew no more until something needs them: a stop rule, a drop, the end."""
        return not self._run.ended and self._lasted_ns > SHOWN_FOR_NS

    def add(self, records: Sequence[Record]) -> None:
        """Give the evidence that came since the last call."""
        self._waiting += records
        if len(self._waiting) >= _BATCH:
            self._hand_over()

    def want(self, at_ns: int) -> None:
        """Have the figure made up to a moment [ns], once there is time for it."""
        self._stale_ns = at_ns
        if self._due:
            self.make(at_ns)

    def make(self, at_ns: int) -> None:
        """Have the figure made up to a moment [ns], from everything given so far, whatever it costs."""
        self._stale_ns = None
        request = self._asked(at_ns)
        self._hand_over()
        self._requests += 1
        self._made_ns = self._run.now_ns
        self._helper.do(partial(self._work, self._requests, request))

    def refresh(self, seen_ns: int) -> None:
        """Have the figure made that is wanted or due, if there is time; everything up to seen_ns has been handled."""
        if self._stale_ns is not None:
            self.want(self._stale_ns)
        if self.every_ns is not None and seen_ns - self._seen_ns >= self.every_ns and self._due:
            self._seen_ns = seen_ns
            self.make(seen_ns)

    @property
    def _lasted_ns(self) -> int:
        return self._run.now_ns - self._run.plan.start_ns

    @property
    def _due(self) -> bool:
        """Whether a figure that nothing waits for may be asked for now."""
        grown = self._run.now_ns - self._made_ns >= self._lasted_ns // GROWN_BY
        return grown and self._lasted_ns <= SHOWN_FOR_NS and self.up_to_date and self._helper.free

    def _hand_over(self) -> None:
        if self._waiting:
            records, self._waiting = self._waiting, []
            self._helper.do(partial(self._evidence.add_all, records))

    def _work(self, number: int, request: FigureRequest) -> None:
        evidence = self._evidence.as_run(
            request.stop_ns,
            pauses=request.pauses,
            drops_ns=request.drops_ns,
            outcome=request.outcome,
            stopped_itself=request.stopped_itself,
            stops=request.stops,
        )
        self._answer = (number, self._conclude(evidence))
