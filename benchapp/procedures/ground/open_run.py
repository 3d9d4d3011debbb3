"""A run that goes on, as its machine and its test both know it."""

from enum import StrEnum

from benchapp.procedures.ground.plan import RunPlan
from benchapp.procedures.ground.progress import StopReason
from benchapp.procedures.ground.run_log import RunLog
from benchapp.procedures.ground.signal_watch import SignalWatch
from benchapp.procedures.ground.table import State


class OpenRun:
    """What stands of a run at the moment that is being handled; only its machine changes the state.

    signal         : the pulses of the output
    now_ns         : the latest time it was told [ns]
    quiet_since_ns : since when nothing has happened that it waits for [ns]; its test may set that too
    ending         : why it ends when its table says that it has enough
    """

    def __init__(self, plan: RunPlan, *, ending: StopReason) -> None:
        self.plan = plan
        self.log = RunLog(plan)
        self.signal = SignalWatch(plan.start_ns)
        self.state: StrEnum = State.WAITING_FOR_PULSES
        self.now_ns = self.quiet_since_ns = plan.start_ns
        self.ending = ending

    @property
    def ended(self) -> bool:
        """Whether the run is over."""
        return self.state is State.ENDED
