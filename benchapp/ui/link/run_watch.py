"""Notices in the status of a bench that a run ended, and when its end is in the file."""

import time
from dataclasses import dataclass

from benchapp.acquisition.status import LinkState, Status

_LONGEST_WAIT_FOR_SAVING_S = 3.0


@dataclass(kw_only=True, slots=True)
class _Ended:
    """A run that ended and whose findings are still to be made."""

    run: int
    seen_s: float


class RunWatch:
    """Follows the bench's status; says once that a run ended, and once that its findings can be made."""

    def __init__(self) -> None:
        self._ended: _Ended | None = None
        self._last_outcome: tuple[int, str] = (0, "")

    def begin(self) -> None:
        """Begin with another bench: forget which runs the last one had."""
        self._ended, self._last_outcome = None, (0, "")

    def ended_run(self, status: Status) -> int | None:
        """Return the number of a run that ended since the last status, None if none did."""
        run = status.run
        if run is None or (run.run, run.outcome) == self._last_outcome:
            return None
        self._last_outcome = (run.run, run.outcome)
        if not run.outcome:
            return None
        self._ended = _Ended(run=run.run, seen_s=time.monotonic())
        return run.run

    def saved_session(self, status: Status) -> str:
        """Return the session whose newest run can be read now, "" while there is none."""
        if self._ended is None or not status.session or not _is_saved(status, self._ended):
            return ""
        self._ended = None
        return status.session


def _is_saved(status: Status, ended: _Ended) -> bool:
    """Return whether the run's end is in the file: acknowledged, or committed after it was seen where that is not told.

    A commit that was under way when the run ended holds its records and not its end.
    """
    waited_s = time.monotonic() - ended.seen_s
    if waited_s > _LONGEST_WAIT_FOR_SAVING_S or status.link in {LinkState.LOST, LinkState.CLOSED}:
        return True
    if status.saved_run is not None:
        return status.saved_run >= ended.run
    return status.saved_ago_s is not None and status.saved_ago_s < waited_s
