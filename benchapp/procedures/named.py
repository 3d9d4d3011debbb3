"""A test's name and the machine that runs it."""

from collections.abc import Callable

from benchapp.procedures.hold_still import HoldStill
from benchapp.procedures.plan import RunPlan
from benchapp.procedures.procedure import Procedure
from benchapp.procedures.stick_sweep import StickSweep
from benchapp.procedures.stop_sweep import StopSweep
from benchapp.procedures.switch_flip import SwitchFlip
from benchapp.records.errors import WrongCall


def begin_procedure(plan: RunPlan, draw: Callable[[], float]) -> Procedure:
    """Return the machine of a plan's test; draw gives random numbers in [0, 1) for flips the probe makes itself.

    Raises WrongCall for a test that has none.
    """
    match plan.test:
        case "switch-flip":
            return SwitchFlip(plan, draw)
        case "stick-sweep":
            return StopSweep(plan) if plan.settings.stops_deg else StickSweep(plan)
        case "hold-still":
            return HoldStill(plan)
    raise WrongCall(f"There is no machine for the test {plan.test[:40]!a}.")
