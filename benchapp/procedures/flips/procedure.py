"""The switch-flip test: flips of a switch, each answered by the servo output, until there are enough."""

from collections.abc import Callable

from benchapp.procedures.flips.control_watch import ControlWatch
from benchapp.procedures.flips.course import FlipCourse
from benchapp.procedures.flips.table import TABLE
from benchapp.procedures.ground.conclusions import Helper
from benchapp.procedures.ground.open_run import OpenRun
from benchapp.procedures.ground.output_watch import OutputWatch
from benchapp.procedures.ground.parts import TestParts
from benchapp.procedures.ground.plan import RunPlan
from benchapp.procedures.ground.procedure import Procedure
from benchapp.procedures.ground.progress import StopReason

LAG_NS = 30_000_000
"""What is older than this has arrived: the probe flushes within 5 ms, a slow bridge holds back for 16 ms."""


def begin(plan: RunPlan, draw: Callable[[], float], helper: Helper | None = None) -> Procedure:
    """Return a run that begins at plan.start_ns; the plan has leads on the output and on a switch or stick.

    draw gives random numbers in [0, 1) for flips the probe makes itself. helper works the figure out; without one that
    is done at once.
    """
    run = OpenRun(plan, ending=StopReason.ENOUGH_FLIPS)
    course = FlipCourse(run, draw, helper)
    return Procedure(
        run,
        TestParts(
            table=TABLE,
            lag_ns=LAG_NS,
            watchers=(ControlWatch(plan), OutputWatch(run)),
            course=course,
            figures=course.figures,
            keepers=() if course.power is None else (course.power.take,),
            drivers=(course.flip_requests, course.power_requests),
            left_out=course,
        ),
    )
