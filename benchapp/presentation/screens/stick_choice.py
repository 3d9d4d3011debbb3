"""What may be chosen for a sweep or a hold, what each choice means, and how long it takes."""

import re
from collections.abc import Sequence

from benchapp.presentation.ground.numbers import NBSP, at_places, counted
from benchapp.presentation.sweep.stick_words import THERE_AND_BACK, degrees_of, position_words
from benchapp.procedures.asked_settings import (
    DEFAULT_HALF_WIDTH_DEG,
    PRESET_TRAVEL_DEG,
    PRESETS,
    preset_stops_deg,
)
from benchapp.procedures.hold.course import USUAL_S
from benchapp.procedures.named import check_settings
from benchapp.procedures.sweep.by_stops import USUAL_STOP_S
from benchapp.procedures.sweep.continuous import USUAL_CYCLES
from benchapp.procedures.sweep.guide import SweepGuide
from benchapp.records.errors import WrongCall
from benchapp.records.method import FEWEST_CYCLES
from benchapp.records.run import RunSettings

OFFERED_MARKS = PRESETS
"""The numbers of even marks that are offered; the printed protractor has them."""
USUAL_MARKS = 11
USUAL_TIMES = USUAL_CYCLES
USUAL_HOLD_S = round(USUAL_S)
USUAL_WITHIN_DEG = DEFAULT_HALF_WIDTH_DEG
WIDEST_DEG = 90.0
_NUMBER = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)", re.ASCII)
_SPACED = re.compile(r"[0-9.]\s+[-+0-9.]")
_LONGEST_SHOWN = 20


def even_marks(count: int) -> tuple[float, ...]:
    """Return so many even marks from end to end [degrees]."""
    return preset_stops_deg(count)


def typed_positions(text: str, *, percent: bool) -> tuple[float, ...]:
    """Return the positions a person typed, in degrees and as given: −30 0 30, or -30, 0, 30, or -12,5 0 12,5.

    Where spaces or semicolons alone stand between numbers, a comma is a decimal one; else it stands between them.
    Raises WrongCall naming what cannot be read as a position.
    """
    plain = text.replace("−", "-").replace("°", " ").replace("%", " ")
    decimal_commas = ";" in plain or _SPACED.search(plain.strip()) is not None
    plain = plain.replace(",", "." if decimal_commas else " ").replace(";", " ")
    positions = []
    for piece in plain.split():
        if not _NUMBER.fullmatch(piece):
            raise WrongCall(f"“{piece[:_LONGEST_SHOWN]}” is not a position. Write numbers with spaces between.")
        positions.append(degrees_of(float(piece)) if percent else float(piece))
    if any(abs(position) > (PRESET_TRAVEL_DEG if percent else WIDEST_DEG) + 1e-9 for position in positions):
        limits = f"0 to 100{NBSP}%" if percent else f"−{WIDEST_DEG:g}° to {WIDEST_DEG:g}°"
        raise WrongCall(f"Positions lie between {limits}.")
    return tuple(positions)


def positions_sentence(positions: Sequence[float]) -> str:
    """Return the positions as they were understood."""
    return f"{counted(len(positions), 'mark')}: {' '.join(position_words(position) for position in positions)}"


def stops_problem(test: str, settings: RunSettings, *, practice: bool = False) -> str:
    """Return why a test cannot be run by stops with these settings, "" where it can."""
    if not settings.stops_deg:
        return "Type the positions of your marks first, rising."
    if practice and any(abs(position) > PRESET_TRAVEL_DEG for position in settings.stops_deg):
        return f"The practice stick turns {PRESET_TRAVEL_DEG:g}° each way; no mark lies beyond."
    try:
        check_settings(test, settings)
    except WrongCall as wrong:
        return wrong.message
    return ""


def way_sentence(*, by_stops: bool) -> str:
    """Return what it means to sweep by stops, or not to."""
    if by_stops:
        return "You set the stick to marks, one after the other, up and down. It needs no lead on the stick."
    return "You move the stick slowly all the way and back, resting at each end. A ring on the screen shows how fast."


def cycles_sentence(cycles: int) -> str:
    """Return how long a sweep of so many there-and-backs takes, and what more of them are good for."""
    seconds = SweepGuide(1.0).seconds_for(2 * cycles)
    return f"{_lasting(seconds)}, each at its own speed.{_too_few(cycles)}"


def stops_sentence(marks: int, cycles: int) -> str:
    """Return how many stops a sweep has, and how long it takes."""
    stops = 1 + 2 * cycles * (marks - 1)
    return f"{counted(stops, 'stop')} in all. {_lasting(stops * USUAL_STOP_S)}.{_too_few(cycles)}"


def take_sentence(*, itself: bool) -> str:
    """Return what it means to take a stop by oneself, or to have it taken."""
    if itself:
        return "As soon as the stick stands still it is taken: do not stop on the way to a mark."
    return "Set the stick, then press Enter or the space bar; it is taken once all is still."


BENCH_MOVES = "Practice: the bench moves its stick by itself. You only watch."


def bench_sentence(*, bench: bool) -> str:
    """Return what it means who moves the practice stick."""
    if bench:
        return "Watch how it is done: the bench's own hand moves the stick."
    return "A large stick appears beside the run. Drag it, or hold the arrow and page keys."


def hold_sentence(seconds: int, positions: int) -> str:
    """Return how long a hold takes."""
    whole = _lasting(seconds * positions + 5.0 * (positions - 1))
    if positions == 1:
        return f"{whole}, with the stick where you leave it."
    return f"{whole}: {positions} positions, and you are told when to bring the stick to the next."


def _lasting(seconds: float) -> str:
    if seconds < 90:
        return f"About {at_places(round(seconds / 5) * 5 or seconds, 0)}{NBSP}s"
    return f"About {at_places(seconds / 60, 0)}{NBSP}min"


def _too_few(cycles: int) -> str:
    if cycles >= FEWEST_CYCLES:
        return ""
    return f" Fewer than three {THERE_AND_BACK}s are too few for a figure to rely on."
