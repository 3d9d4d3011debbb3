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
from benchapp.procedures.ground.plan import RunPlan
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


class Conclusions(Generic[Found]):
    """Passes evidence and questions to a helper in order, and holds its newest answer.

    conclude runs wherever the helper works; it is given values and returns one, so that no two threads share a thing.
    """

    def __init__(
        self,
        plan: RunPlan,
        helper: Helper,
        conclude: Callable[[RunEvidence], Found],
        *,
        before: Found,
        roles: Sequence[str] = (),
    ) -> None:
        """Begin for a run; before is what is found before anything was concluded."""
        self._evidence = EvidenceSoFar(plan, roles, column=helper.column)
        self._start_ns = plan.start_ns
        self._helper = helper
        self._conclude = conclude
        self._waiting: list[Record] = []
        self._asked = 0
        self._asked_ns = plan.start_ns
        self._answer = (0, before)

    @property
    def found(self) -> Found:
        """The newest figures that were worked out."""
        return self._answer[1]

    @property
    def up_to_date(self) -> bool:
        """Whether every figure that was asked for has been worked out."""
        return self._answer[0] == self._asked

    def add(self, records: Sequence[Record]) -> None:
        """Give the evidence that came since the last call."""
        self._waiting += records
        if len(self._waiting) >= _BATCH:
            self._hand_over()

    def stands(self, now_ns: int) -> bool:
        """Return whether the figure is made anew no more by this moment of the session, until something needs it."""
        return now_ns - self._start_ns > SHOWN_FOR_NS

    def due(self, now_ns: int) -> bool:
        """Return whether a conclusion that nothing waits for may be asked for at this moment of the session."""
        lasted_ns = now_ns - self._start_ns
        grown = now_ns - self._asked_ns >= lasted_ns // GROWN_BY
        return grown and not self.stands(now_ns) and self.up_to_date and self._helper.free

    def ask(self, asked: FigureRequest, now_ns: int) -> None:
        """Have a conclusion made from everything given so far, at this moment of the session."""
        self._hand_over()
        self._asked += 1
        self._asked_ns = now_ns
        self._helper.do(partial(self._work, self._asked, asked))

    def _hand_over(self) -> None:
        if self._waiting:
            records, self._waiting = self._waiting, []
            self._helper.do(partial(self._evidence.add_all, records))

    def _work(self, number: int, asked: FigureRequest) -> None:
        evidence = self._evidence.as_run(
            asked.stop_ns,
            pauses=asked.pauses,
            drops_ns=asked.drops_ns,
            outcome=asked.outcome,
            stopped_itself=asked.stopped_itself,
            stops=asked.stops,
        )
        self._answer = (number, self._conclude(evidence))
