"""The hold-still test: for a set time nothing is touched, at one position or at several one after the other."""

from collections.abc import Callable

from benchapp.procedures.ground.conclusions import Helper
from benchapp.procedures.ground.open_run import OpenRun
from benchapp.procedures.ground.output_watch import OutputWatch
from benchapp.procedures.ground.parts import TestParts
from benchapp.procedures.ground.place_watch import LAG_NS
from benchapp.procedures.ground.plan import RunPlan
from benchapp.procedures.ground.procedure import Procedure
from benchapp.procedures.ground.progress import StopReason
from benchapp.procedures.ground.run_part import RunPart
from benchapp.procedures.hold.course import TABLE, HoldCourse


def begin(plan: RunPlan, draw: Callable[[], float] | None = None, helper: Helper | None = None) -> Procedure:
    """Return a run that begins at plan.start_ns; the plan has a lead on the output, and may have one on the stick.

    draw is not called: chance plays no part in a hold. helper works the figures out; without one that is done at once.
    """
    run = OpenRun(plan, ending=StopReason.TIME_OVER)
    course = HoldCourse(run, helper)
    return Procedure(
        run,
        TestParts(
            table=TABLE,
            lag_ns=LAG_NS,
            watchers=(OutputWatch(run), course.place),
            course=course,
            figures=course.figures,
        ),
    )


PART = RunPart(begin=begin)
