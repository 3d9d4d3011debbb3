"""All flips of a run so far as a strip of dots that grows with it."""

from dataclasses import dataclass

from benchapp.presentation.flips.switch_on_words import bands
from benchapp.presentation.ground.axes import axis, padded
from benchapp.presentation.ground.enough import has_figure
from benchapp.presentation.ground.numbers import DASH, at_places, counted, exists, sentence_start
from benchapp.presentation.live.run_view import THE_FIGURE
from benchapp.records.findings import Latency

ALL_FLIPS = "All flips (ms)"
KEY = "Filled: the pulse grew longer. Ring: shorter. ×: left out."
LEAST_PLACES = 20
"""A strip has room for this many flips from the start."""
_GROWS_BY = 1.25
_MOST_TICKS = 3


@dataclass(frozen=True, kw_only=True, slots=True)
class StripDot:
    """One flip: its number in the run, its latency [ms] (None where it has none), whether the pulse grew longer.

    left_out: it does not count.
    """

    number: int
    ms: float | None
    up: bool
    left_out: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class StripShown:
    """What the strip draws.

    places : for how many flips it has room       low_ms, high_ms : its scale, with (value, words) ticks
    figure_ms, bands_ms : the figure and its give or take, the narrower first; none while there is no figure
    """

    dots: tuple[StripDot, ...]
    places: int
    low_ms: float
    high_ms: float
    ticks: tuple[tuple[float, str], ...]
    figure_ms: float | None
    bands_ms: tuple[tuple[float, float], ...]
    spoken: str


def flip_strip(found: Latency | None, *, wanted: int | None) -> StripShown | None:
    """Return the strip of a run's findings so far, None before its first flip; wanted: how many flips it is to have."""
    if found is None or not found.flips:
        return None
    answered = [StripDot(number=t.flip, ms=t.mid_ms, up=t.direction == "up") for t in found.trials]
    others = [StripDot(number=f.flip, ms=None, up=f.direction == "up", left_out=True) for f in found.excluded]
    dots = sorted((*answered, *others), key=lambda dot: dot.number)
    heights = [trial.mid_ms for trial in found.trials] or [0.0, 1.0]
    own = bands(found)
    reached = [edge for pair in own[:1] for edge in pair]
    scale = axis(*padded([*heights, *reached]), 0.0, 1.0, most=_MOST_TICKS)
    return StripShown(
        dots=tuple(dots),
        places=_places(found.flips, wanted),
        low_ms=scale.low,
        high_ms=scale.high,
        ticks=tuple((tick, at_places(tick, scale.places)) for tick in scale.ticks) if found.trials else (),
        figure_ms=found.headline.value_ms if has_figure(found) and exists(found.headline.value_ms) else None,
        bands_ms=own,
        spoken=f"{len(found.trials)} of {counted(found.flips, 'flip')} answered",
    )


def _places(flips: int, wanted: int | None) -> int:
    if wanted is not None and wanted >= flips:
        return max(wanted, 1)
    return max(LEAST_PLACES, round(flips * _GROWS_BY))


def strip_figure(title: str, figure: str, give_or_take: str, beside: str) -> str:
    """Return the figure in one line, from the parts the run page has of it; "" while there is none.

    "So far: 24.06 ms ± 0.92 ms, this switch-on · any switch-on: 24 ms ± 13 ms": with the sign of Findings and paper, as
    in words it would not fit the line.
    """
    if figure == DASH or not figure:
        return ""
    when = sentence_start(title.removeprefix(THE_FIGURE).strip(", "))
    whole = ", ".join(part for part in (figure, give_or_take) if part)
    line = " · ".join(part for part in (f"{when}: {whole}" if when else whole, beside) if part)
    return line.replace(", give or take ", " ± ")
