"""What a stick test says of itself while it goes on: counts, positions, pace."""

from collections.abc import Mapping

from benchapp.presentation.ground.numbers import NBSP, at_places, counted
from benchapp.procedures.asked_settings import PRESET_TRAVEL_DEG
from benchapp.procedures.ground.progress import Pace, Prompt, RunProgress, StickProgress

PACES: Mapping[Pace, str] = {
    Pace.GOOD: "Just right",
    Pace.TOO_FAST: "Too fast",
    Pace.TOO_SLOW: "Too slow",
    Pace.USUAL: "At an easy pace",
    Pace.QUICKER: "A little quicker this time",
    Pace.SLOWER: "More slowly this time",
}
THERE_AND_BACK = "there-and-back"
"""A full cycle of a sweep: from one end to the other and back."""
_SEVERAL_PLACES = 1
_WHOLE = 1e-6


def degrees(position: float) -> str:
    """Return a position as people read it: −15°, 0°, 12.5°."""
    text = at_places(position, 0 if abs(position - round(position)) < _WHOLE else _SEVERAL_PLACES)
    return f"{text}°"


def position_words(position_deg: float, *, percent: bool = False) -> str:
    """Return a position in degrees, or in % of the travel between the outer marks of the printed protractor."""
    if not percent:
        return degrees(position_deg)
    share = percent_of(position_deg)
    return f"{at_places(share, 0 if abs(share - round(share)) < _WHOLE else _SEVERAL_PLACES)}{NBSP}%"


def percent_of(position_deg: float) -> float:
    """Return a position as % of the travel: 0 % at -30°, 100 % at +30°."""
    return (position_deg / PRESET_TRAVEL_DEG + 1.0) * 50.0


def degrees_of(percent: float) -> float:
    """Return the position at so many % of the travel, in degrees."""
    return (percent / 50.0 - 1.0) * PRESET_TRAVEL_DEG


def stop_now(stick: StickProgress) -> bool:
    """Return whether a mark is asked for."""
    return stick.next_deg is not None and stick.mark is not None


def stick_count(stick: StickProgress) -> str:
    """Return how far a stick test has come: stops, cycles, or the time that was held."""
    if stick.held_s is not None:
        held = _of(at_places(stick.held_s, 0), None if stick.hold_s is None else at_places(stick.hold_s, 0))
        return f"held for {held}{NBSP}s{_at_position(stick)}"
    if stick.next_deg is not None or stick.stops:
        if stick.stops_wanted is None:
            return counted(stick.stops, "stop")
        return f"{stick.stops} of {counted(stick.stops_wanted, 'stop')}"
    if stick.cycles_wanted is None:
        return counted(stick.cycles, THERE_AND_BACK)
    return f"{stick.cycles} of {counted(stick.cycles_wanted, THERE_AND_BACK)}"


def stick_share(stick: StickProgress) -> float | None:
    """Return how full the bar is, 0 to 1; None where no end is known."""
    if stick.held_s is not None:
        if stick.hold_s is None:
            return None
        positions = stick.positions or 1
        return min(((stick.position or 1) - 1 + stick.held_s / stick.hold_s) / positions, 1.0)
    if stick.stops_wanted:
        return min(stick.stops / stick.stops_wanted, 1.0)
    return min(stick.cycles / stick.cycles_wanted, 1.0) if stick.cycles_wanted else None


def stick_hint(run: RunProgress) -> str:
    """Return what goes with the instruction of the moment: the position to set, or the pace; "" for nothing."""
    stick = run.stick
    if stick is None or run.outcome or run.paused:
        return ""
    if run.prompt in (Prompt.SET_STOP, Prompt.WENT_PAST, Prompt.KEEP_STILL) and stick.next_deg is not None:
        way = "" if stick.rising is None else ", coming up" if stick.rising else ", coming down"
        return f"{degrees(stick.next_deg)}{way}"
    if run.prompt is Prompt.SWEEP:
        wanted = stick.pace or stick.pace_wanted
        return PACES[wanted] if wanted is not None else ""
    return ""


def _at_position(stick: StickProgress) -> str:
    return f", position {stick.position} of {stick.positions}" if (stick.positions or 1) > 1 else ""


def _of(done: str, wanted: str | None) -> str:
    return done if wanted is None else f"{done} of {wanted}"
