"""What may be asked of a run: settings that make no sense are refused before it starts."""

from itertools import pairwise

from benchapp.records.errors import WrongCall
from benchapp.records.run import RunSettings
from benchapp.records.run_settings import MOST_CORRECTION_MS

PRESETS = (5, 9, 11, 21)
"""The numbers of even stops that are offered; their marks are on the printed protractor."""
PRESET_TRAVEL_DEG = 30.0
FEWEST_STOPS = 5
MOST_STOPS = 101
MOST_SWITCH_ONS = 100
DEFAULT_HALF_WIDTH_DEG = 0.5
"""A position read off a protractor is right to within this, unless said otherwise (from experience, no source)."""


def preset_stops_deg(count: int) -> tuple[float, ...]:
    """Return so many even positions from -30° to +30°."""
    return tuple(2.0 * PRESET_TRAVEL_DEG * number / (count - 1) - PRESET_TRAVEL_DEG for number in range(count))


def check_settings(test: str, settings: RunSettings) -> None:
    """Raise WrongCall, naming what was wanted, for settings that a test cannot be run with."""
    if settings.seconds is not None and settings.seconds <= 0:
        raise WrongCall(f"A run lasts longer than 0 s; {settings.seconds:g} s were asked for.")
    for name, count in (("cycles", settings.cycles), ("positions", settings.positions)):
        if count is not None and count < 1:
            raise WrongCall(f"A run has at least one of its {name}; {count} were asked for.")
    _check_switch_ons(test, settings)
    _check_correction(test, settings)
    stops = settings.stops_deg
    if test != "stick-sweep" or not stops:
        return
    if not FEWEST_STOPS <= len(stops) <= MOST_STOPS:
        raise WrongCall(f"A sweep by stops has {FEWEST_STOPS} to {MOST_STOPS} positions; {len(stops)} were given.")
    if any(after <= before for before, after in pairwise(stops)):
        raise WrongCall("The positions of a sweep by stops are given in rising order, each of them once.")


def _check_correction(test: str, settings: RunSettings) -> None:
    correction, within = settings.correction_ms, settings.correction_within_ms
    if correction is None and within is None:
        return
    if test != "switch-flip":
        raise WrongCall(f"A correction belongs to the latencies of switch-flip, not to {test}. Leave it out.")
    if correction is None or within is None:
        raise WrongCall("A correction needs both: how many ms are added to every latency, and to within how many.")
    if abs(correction) > MOST_CORRECTION_MS or not 0.0 <= within <= MOST_CORRECTION_MS:
        most = f"{MOST_CORRECTION_MS:g} ms"
        raise WrongCall(f"A correction is at most {most} either way, right to within 0 to {most}.")


def _check_switch_ons(test: str, settings: RunSettings) -> None:
    switch_ons = settings.switch_ons
    if switch_ons is None:
        return
    if test != "switch-flip":
        raise WrongCall(f"Switch-ons belong to switch-flip, not to {test}. Leave them out.")
    if not 1 <= switch_ons <= MOST_SWITCH_ONS:
        raise WrongCall(f"A run has 1 to {MOST_SWITCH_ONS} switch-ons; {switch_ons} were asked for.")
    if switch_ons > 1 and settings.flips is None:
        raise WrongCall("Flips are spread over the switch-ons, so a number of flips is needed with them.")
    if settings.flips is not None and settings.flips < switch_ons:
        raise WrongCall(f"Each switch-on has at least one flip: {settings.flips} flips are too few for {switch_ons}.")
