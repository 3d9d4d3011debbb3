"""A test's name and the machine that runs it."""

from collections.abc import Callable

from benchapp.procedures.flips.switch_flip import SwitchFlip
from benchapp.procedures.ground.conclusions import Helper
from benchapp.procedures.ground.plan import RunPlan
from benchapp.procedures.ground.procedure import Procedure
from benchapp.procedures.hold.hold_still import HoldStill
from benchapp.procedures.sweep.stick_sweep import StickSweep
from benchapp.procedures.sweep.stop_sweep import StopSweep
from benchapp.records.errors import WrongCall


def begin_procedure(plan: RunPlan, draw: Callable[[], float], helper: Helper | None = None) -> Procedure:
    """Return the machine of a plan's test; draw gives random numbers in [0, 1) for flips the probe makes itself.

    helper works its figures out; without one that is done at once.

    Raises WrongCall for a test that has none.
    """
    match plan.test:
        case "switch-flip":
            return SwitchFlip(plan, draw, helper)
        case "stick-sweep":
            return StopSweep(plan, helper) if plan.settings.stops_deg else StickSweep(plan, helper)
        case "hold-still":
            return HoldStill(plan, helper)
    raise WrongCall(f"There is no machine for the test {plan.test[:40]!a}.")
