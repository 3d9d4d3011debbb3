"""What a recorded run is told: the options of the call that belong to its test, and what is usual without them."""

import argparse
from collections.abc import Callable, Mapping

from benchapp.desk.recording import USUAL_CYCLES, USUAL_HOLD_S, preset_stops
from benchapp.records.errors import WrongCall
from benchapp.records.run import RunSettings

USUAL_FLIPS = 60
MOST_FLIPS_TO_A_TARGET = 2000
"""Where only a target is given: a give or take that is never reached would otherwise never end."""
_OPTIONS = {
    "flips": "--flips",
    "target_ms": "--target-ms",
    "cycles": "--cycles",
    "stops": "--stops",
    "stops_within": "--stops-within",
    "positions": "--positions",
    "switch_ons": "--switch-ons",
    "correction": "--correction",
    "correction_within": "--correction-within",
}
_BELONG = {
    "switch-flip": {"flips", "target_ms", "switch_ons", "correction", "correction_within"},
    "stick-sweep": {"cycles", "stops", "stops_within"},
    "hold-still": {"positions"},
}


def run_settings(asked: argparse.Namespace) -> RunSettings:
    """Return what the run is told. Raises WrongCall for an option that says nothing to its test."""
    belong = _BELONG.get(asked.test)
    if belong is None:  # the desk refuses a test that is none, in its own words
        return RunSettings()
    for name, option in _OPTIONS.items():
        if getattr(asked, name) is not None and name not in belong:
            tests = " and ".join(test for test, names in _BELONG.items() if name in names)
            raise WrongCall(f"{option} is for {tests}, not for {asked.test}. Leave it out.")
    return _TOLD[asked.test](asked)


def _flips(asked: argparse.Namespace) -> RunSettings:
    flips = asked.flips
    spread = (asked.switch_ons or 1) > 1  # only a number of flips can be spread
    if flips is None and asked.target_ms is not None and not spread:
        flips = MOST_FLIPS_TO_A_TARGET
    if flips is None and (asked.seconds is None or spread):
        flips = max(USUAL_FLIPS, asked.switch_ons or 1)
    return RunSettings(
        flips=flips,
        seconds=asked.seconds,
        target_ms=asked.target_ms,
        switch_ons=asked.switch_ons,
        correction_ms=asked.correction,
        correction_within_ms=asked.correction_within,
    )


def _sweep(asked: argparse.Namespace) -> RunSettings:
    cycles = asked.cycles
    if cycles is None and asked.seconds is None:
        cycles = USUAL_CYCLES
    stops = asked.stops or ()
    if asked.stops_within is not None and not stops:
        raise WrongCall("--stops-within says how far a stop may be off; without --stops there are none.")
    return RunSettings(
        seconds=asked.seconds,
        cycles=cycles,
        stops_deg=preset_stops(stops) if isinstance(stops, int) else stops,
        stop_half_width_deg=asked.stops_within,
    )


def _hold(asked: argparse.Namespace) -> RunSettings:
    return RunSettings(seconds=USUAL_HOLD_S if asked.seconds is None else asked.seconds, positions=asked.positions)


_TOLD: Mapping[str, Callable[[argparse.Namespace], RunSettings]] = {
    "switch-flip": _flips,
    "stick-sweep": _sweep,
    "hold-still": _hold,
}
