"""What the stick tests have in common: their figures, how long they wait with nobody there, and what they tell."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Protocol, TypeVar

from benchapp.procedures.ground.conclusions import FigureRequest, Helper, RunFigures
from benchapp.procedures.ground.moments import Moment
from benchapp.procedures.ground.open_run import OpenRun
from benchapp.procedures.ground.progress import RunProgress, StickProgress, StopReason
from benchapp.procedures.ground.table import State
from benchapp.procedures.ground.timers import give_up
from benchapp.records.run import RunEvidence, Stop

ALONE_PAUSE_NS = 10_000_000_000
ALONE_IDLE_NS = 120_000_000_000
"""With nobody there: the longest pause, and the longest wait for the stick to move."""


class StickFigure(Protocol):
    """The figures of a stick test so far."""

    def shown(self, progress: StickProgress) -> StickProgress:
        """Return a progress with the figures so far."""


Figure = TypeVar("Figure", bound=StickFigure)


def stick_figures(
    run: OpenRun,
    helper: Helper | None,
    figure_of: Callable[[RunEvidence], Figure],
    *,
    before: Figure,
    stops: Callable[[], Sequence[Stop]] = tuple,
) -> RunFigures[Figure]:
    """Return the figures of a stick test: before there are any, then as figure_of makes them of the run so far.

    stops returns the stops taken so far.
    """
    roles = [role for role in ("stick", "output") if role in run.plan.leads]

    def asked(stop_ns: int) -> FigureRequest:
        return FigureRequest(stop_ns=stop_ns, pauses=tuple(run.log.pauses(stop_ns)), stops=tuple(stops()))

    return RunFigures(run, helper, figure_of, asked, before=before, roles=roles)


def stick_patience(run: OpenRun, *, waiting: bool) -> list[Moment]:
    """Return when a run with nobody there is given up; waiting: somebody has to move the stick, or to let it go."""
    if run.state in (State.WAITING_FOR_PULSES, State.PAUSED, State.REGAINING):
        return give_up(run, ALONE_PAUSE_NS, StopReason.PAUSED_TOO_LONG)
    return give_up(run, ALONE_IDLE_NS, StopReason.NO_MOVES) if waiting else []


def seconds_left(run: OpenRun) -> float | None:
    """Return how many seconds of a run are left, None where its settings name none."""
    seconds = run.plan.settings.seconds
    return None if seconds is None else max(seconds - (run.now_ns - run.plan.start_ns) / 1e9, 0.0)


def tell_stick(
    progress: RunProgress, figure: StickFigure, stick: StickProgress, *, still: bool, left_s: float | None
) -> RunProgress:
    """Return a progress with what the stick does, the figures so far, and the seconds left to the nearest end."""
    over = bool(progress.outcome)
    return replace(
        progress,
        minutes_left=None if over or left_s is None else left_s / 60,
        stick=figure.shown(replace(stick, still=still)),
    )
