"""stick-sweep as it is run: of the moving stick, or by stops where positions are typed."""

from itertools import pairwise

from benchapp.procedures.asked_settings import FEWEST_STOPS, MOST_STOPS
from benchapp.procedures.ground.run_part import RunPart
from benchapp.procedures.sweep.procedure import begin
from benchapp.records.errors import WrongCall
from benchapp.records.run import RunSettings


def _check(settings: RunSettings) -> None:
    stops = settings.stops_deg
    if not stops:
        return
    if not FEWEST_STOPS <= len(stops) <= MOST_STOPS:
        raise WrongCall(f"A sweep by stops has {FEWEST_STOPS} to {MOST_STOPS} positions; {len(stops)} were given.")
    if any(after <= before for before, after in pairwise(stops)):
        raise WrongCall("The positions of a sweep by stops are given in rising order, each of them once.")


PART = RunPart(begin=begin, check=_check)
