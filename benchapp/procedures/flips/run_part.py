"""The switch-flip test: flips of a switch, each answered by the servo output, until there are enough."""

from collections.abc import Callable

from benchapp.procedures.asked_settings import MOST_SWITCH_ONS
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
from benchapp.procedures.ground.run_part import RunPart
from benchapp.records.errors import WrongCall
from benchapp.records.run import RunSettings
from benchapp.records.run_settings import MOST_CORRECTION_MS

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


def _check(settings: RunSettings) -> None:
    _check_switch_ons(settings)
    _check_correction(settings)


def _check_correction(settings: RunSettings) -> None:
    correction, within = settings.correction_ms, settings.correction_within_ms
    if correction is None and within is None:
        return
    if correction is None or within is None:
        raise WrongCall("A correction needs both: how many ms are added to every latency, and to within how many.")
    if abs(correction) > MOST_CORRECTION_MS or not 0.0 <= within <= MOST_CORRECTION_MS:
        most = f"{MOST_CORRECTION_MS:g} ms"
        raise WrongCall(f"A correction is at most {most} either way, right to within 0 to {most}.")


def _check_switch_ons(settings: RunSettings) -> None:
    switch_ons = settings.switch_ons
    if switch_ons is None:
        return
    if not 1 <= switch_ons <= MOST_SWITCH_ONS:
        raise WrongCall(f"A run has 1 to {MOST_SWITCH_ONS} switch-ons; {switch_ons} were asked for.")
    if switch_ons > 1 and settings.flips is None:
        raise WrongCall("Flips are spread over the switch-ons, so a number of flips is needed with them.")
    if settings.flips is not None and settings.flips < switch_ons:
        raise WrongCall(f"Each switch-on has at least one flip: {settings.flips} flips are too few for {switch_ons}.")


PART = RunPart(begin=begin, check=_check)
