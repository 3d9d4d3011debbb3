"""The events of one run as they are logged, and what they add up to."""

from collections.abc import Sequence

from benchapp.procedures.ground.plan import RunPlan
from benchapp.procedures.ground.progress import StopReason
from benchapp.records.events import SWITCH_ON, Event, EventKind, Json
from benchapp.records.run import Outcome, Pause, Stop
from benchapp.records.run_settings import settings_detail


class RunLog:
    """Logs a run's events and keeps the pauses and drops they stand for."""

    def __init__(self, plan: RunPlan) -> None:
        self._plan = plan
        self._events: list[Event] = []
        self._pauses: list[Pause] = []
        self._open_pause: tuple[int, str] | None = None
        self.drops_ns: list[int] = []
        self.blocks = 1
        self.outcome = ""
        self.stop_reason = ""
        self.stop_ns: int | None = None
        self._log(EventKind.RUN_START, plan.start_ns, _start_detail(plan))

    @property
    def paused(self) -> str:
        """The reason of the pause that stands, "" if there is none."""
        return self._open_pause[1] if self._open_pause else ""

    def take(self) -> list[Event]:
        """Return the events logged since the last call."""
        events, self._events = self._events, []
        return events

    def pause(self, at_ns: int, reason: str) -> None:
        """Log a pause; one that stands is ended first, so that each has one reason."""
        if self._open_pause:
            if self._open_pause[1] == reason:
                return
            self.resume(at_ns)
        self._open_pause = (at_ns, reason)
        self._log(EventKind.PAUSE, at_ns, {"reason": reason})

    def resume(self, at_ns: int) -> None:
        """Log the end of the pause that stands."""
        if self._open_pause is None:
            return
        from_ns, reason = self._open_pause
        self._pauses.append(Pause(from_ns=from_ns, to_ns=at_ns, reason=reason))
        self._open_pause = None
        self.blocks += reason == SWITCH_ON
        self._log(EventKind.RESUME, at_ns, {})

    def stop(self, at_ns: int, outcome: Outcome, reason: StopReason) -> None:
        """Log the end of the run."""
        self.outcome, self.stop_reason, self.stop_ns = outcome.value, reason.value, at_ns
        detail: dict[str, Json] = {"outcome": outcome.value, "reason": reason.value}
        self._log(EventKind.RUN_STOP, at_ns, {**detail, "stopped_itself": reason is StopReason.TARGET_MET})

    def pauses(self, stop_ns: int) -> list[Pause]:
        """Return the pauses up to stop_ns; one that stands lasts until then."""
        if self._open_pause is None:
            return self._pauses
        from_ns, reason = self._open_pause
        return [*self._pauses, Pause(from_ns=from_ns, to_ns=max(stop_ns, from_ns), reason=reason)]

    def stop_taken(self, stop: Stop) -> None:
        """Log one stop of a sweep."""
        detail: dict[str, Json] = {"position_deg": stop.position_deg, "from_ns": stop.from_ns, "to_ns": stop.to_ns}
        self._log(EventKind.STOP_TAKEN, stop.to_ns, detail)

    def drop(self, now_ns: int, flips_ns: Sequence[int], flip_ns: int | None) -> bool:
        """Log that one flip is left out: the last, unless flip_ns names another; return whether there was one."""
        standing = [time for time in flips_ns if time not in self.drops_ns]
        wanted = standing[-1] if flip_ns is None and standing else flip_ns
        if wanted not in standing:
            return False
        self.drops_ns.append(wanted)
        self._log(EventKind.DROP, now_ns, {"flip_ns": wanted})
        return True

    def undrop(self, now_ns: int, flip_ns: int | None) -> bool:
        """Log that a drop is taken back: the last, unless flip_ns names another; return whether there was one."""
        wanted = self.drops_ns[-1] if flip_ns is None and self.drops_ns else flip_ns
        if wanted not in self.drops_ns:
            return False
        self.drops_ns.remove(wanted)
        self._log(EventKind.UNDROP, now_ns, {"flip_ns": wanted})
        return True

    def _log(self, kind: EventKind, at_ns: int, detail: dict[str, Json]) -> None:
        self._events.append(Event(kind=kind, at_ns=at_ns, run=self._plan.run, detail=detail))


def _start_detail(plan: RunPlan) -> dict[str, Json]:
    return {
        "test": plan.test,
        "roles": {str(lead.index): role for role, lead in plan.leads.items()},
        "polarity": {role: polarity.value for role, polarity in plan.polarity.items()},
        "pick_up": plan.pick_up.value,
        "settings": settings_detail(plan.settings),
    }
