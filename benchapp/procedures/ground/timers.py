"""Moments that only time brings, and that any test may have."""

from benchapp.procedures.ground.moments import Moment, Seen
from benchapp.procedures.ground.open_run import OpenRun
from benchapp.procedures.ground.progress import StopReason


def time_over(run: OpenRun) -> list[Moment]:
    """Return the end of a run of so many seconds, nothing where its settings name none."""
    seconds = run.plan.settings.seconds
    return [] if seconds is None else [Moment(at_ns=run.plan.start_ns + round(seconds * 1e9), seen=Seen.TIME_OVER)]


def give_up(run: OpenRun, longest_ns: int, reason: StopReason) -> list[Moment]:
    """Return when a run that waits with nobody there ends, once all has been quiet for so long; else nothing."""
    return [Moment(at_ns=run.quiet_since_ns + longest_ns, seen=Seen.GIVE_UP, reason=reason)] if run.plan.alone else []
