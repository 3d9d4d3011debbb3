"""The options of stick-sweep."""

import argparse

from benchapp.cli.call_options import CallOptions
from benchapp.cli.typed import counted, number
from benchapp.desk.names import shown
from benchapp.desk.recording import USUAL_CYCLES, preset_stops
from benchapp.records.errors import WrongCall
from benchapp.records.run import RunSettings

MOST_CYCLES = 1000


def _fill(record: argparse.ArgumentParser) -> None:
    record.add_argument(
        "--cycles",
        type=counted(MOST_CYCLES),
        metavar="N",
        help="stick-sweep: full cycles; 3 if no end is given",
    )
    record.add_argument(
        "--stops",
        type=_stops,
        metavar="N|DEG,…",
        help="stick-sweep: by stops: 5, 9, 11 or 21 even ones, or --stops=-30,-15,…",
    )
    record.add_argument(
        "--stops-within", type=number(0, 45), metavar="DEG", help="stick-sweep: how far a stop may be off; 0.5"
    )


def _stops(text: str) -> int | tuple[float, ...]:
    """Return the number of a preset, or the positions."""
    if text.isascii() and text.isdigit() and len(text) < 4:
        return int(text)
    try:
        stops = tuple(float(piece) for piece in text.split(","))
    except ValueError:
        stops = ()
    if not stops or not all(abs(stop) <= 360 for stop in stops):
        raise argparse.ArgumentTypeError(
            f"a number of stops, or positions in degrees with commas between, was expected, got {shown(text)}"
        )
    return stops


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


PART = CallOptions(
    fill=_fill,
    options={"cycles": "--cycles", "stops": "--stops", "stops_within": "--stops-within"},
    settings=_sweep,
)
