"""The stick-sweep test: the stick is moved from end to end, or set to marked positions where settings name some."""

from collections.abc import Callable
from itertools import pairwise

from benchapp.procedures.asked_settings import FEWEST_STOPS, MOST_STOPS
from benchapp.procedures.ground.conclusions import Helper
from benchapp.procedures.ground.open_run import OpenRun
from benchapp.procedures.ground.output_watch import OutputWatch
from benchapp.procedures.ground.parts import TestParts
from benchapp.procedures.ground.place_watch import LAG_NS
from benchapp.procedures.ground.plan import RunPlan
from benchapp.procedures.ground.procedure import Procedure
from benchapp.procedures.ground.progress import StopReason
from benchapp.procedures.ground.run_part import RunPart
from benchapp.procedures.sweep import by_stops, continuous
from benchapp.records.errors import WrongCall
from benchapp.records.run import RunSettings


def begin(plan: RunPlan, draw: Callable[[], float] | None = None, helper: Helper | None = None) -> Procedure:
    """Return a run that begins at plan.start_ns, by stops where the plan's settings name some.

    The plan has leads on the output and, for a continuous sweep, on the stick. draw is not called: chance plays no part
    in a sweep. helper works the figures out; without one that is done at once.
    """
    return _by_stops(plan, helper) if plan.settings.stops_deg else _continuous(plan, helper)


def _continuous(plan: RunPlan, helper: Helper | None) -> Procedure:
    run = OpenRun(plan, ending=StopReason.ENOUGH_CYCLES)
    course = continuous.SweepCourse(run, helper)
    return Procedure(
        run,
        TestParts(
            table=continuous.TABLE,
            lag_ns=LAG_NS,
            watchers=(OutputWatch(run), course.place),
            course=course,
            figures=course.figures,
            keepers=(course.cycles.take,),
        ),
    )


def _by_stops(plan: RunPlan, helper: Helper | None) -> Procedure:
    run = OpenRun(plan, ending=StopReason.ALL_STOPS)
    course = by_stops.StopCourse(run, helper)
    return Procedure(
        run,
        TestParts(
            table=by_stops.TABLE,
            lag_ns=LAG_NS,
            watchers=(OutputWatch(run), course.place),
            course=course,
            figures=course.figures,
            keepers=(course.keep_pulses,),
            left_out=course.stops,
        ),
    )


def _check(settings: RunSettings) -> None:
    stops = settings.stops_deg
    if not stops:
        return
    if not FEWEST_STOPS <= len(stops) <= MOST_STOPS:
        raise WrongCall(f"A sweep by stops has {FEWEST_STOPS} to {MOST_STOPS} positions; {len(stops)} were given.")
    if any(after <= before for before, after in pairwise(stops)):
        raise WrongCall("The positions of a sweep by stops are given in rising order, each of them once.")


PART = RunPart(begin=begin, check=_check)
