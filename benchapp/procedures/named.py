"""A test's name and the run of it."""

from collections.abc import Callable, Mapping

from benchapp.procedures.flips import procedure as flips
from benchapp.procedures.ground.conclusions import Helper
from benchapp.procedures.ground.plan import RunPlan
from benchapp.procedures.ground.procedure import Procedure
from benchapp.procedures.hold import procedure as hold
from benchapp.procedures.sweep import procedure as sweep
from benchapp.records.errors import WrongCall

Begin = Callable[[RunPlan, Callable[[], float], Helper | None], Procedure]
_BEGIN: Mapping[str, Begin] = {"switch-flip": flips.begin, "stick-sweep": sweep.begin, "hold-still": hold.begin}


def begin_procedure(plan: RunPlan, draw: Callable[[], float], helper: Helper | None = None) -> Procedure:
    """Return the run of a plan's test; draw gives random numbers in [0, 1) for flips the probe makes itself.

    helper works its figures out; without one that is done at once.

    Raises WrongCall for a test that has none.
    """
    if plan.test not in _BEGIN:
        raise WrongCall(f"There is no machine for the test {plan.test[:40]!a}.")
    return _BEGIN[plan.test](plan, draw, helper)
