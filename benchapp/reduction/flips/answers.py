"""How the output answered one flip: levels before and after, and the pulses that reach 10, 50 and 90 % of the step."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from statistics import median
from typing import TypedDict

import numpy as np
from numpy.typing import NDArray

from benchapp.waveforms.pulses import Pulses

LEVEL_PULSES = 10
FEWEST_LEVEL_PULSES = 5
MID_SIGMAS = 8
OUTER_SIGMAS = 30
"""At a step of 10 sigma, 16 to 29 % of the 10 and 90 % points would be wrong (simulated)."""
NEAR_SIGMAS = 3


class _Points(TypedDict):
    first: int | None
    mid: int | None
    near_final: int | None
    near_half_way: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Answer:
    """What the output did after one flip; pulse numbers index the run's pulses.

    before_ns, after_ns : level durations, None below 5 pulses      sigma_ns : their pooled SD
    first, mid, near_final : number of the pulse that reached the point, None where there is none
    opening : number of the last pulse that began at or before t0, None if there was none
    from_ns, to_ns : the span of evidence the answer rests on
    """

    count_before: int
    count_after: int
    before_ns: float | None
    after_ns: float | None
    sigma_ns: float
    opening: int | None
    first: int | None = None
    mid: int | None = None
    near_final: int | None = None
    near_half_way: bool = False
    unbroken: bool = True
    from_ns: int
    to_ns: int

    @property
    def step_ns(self) -> float:
        """The level after less the level before; 0 where either is missing."""
        if self.before_ns is None or self.after_ns is None:
            return 0.0
        return self.after_ns - self.before_ns


@dataclass(frozen=True, kw_only=True, slots=True)
class Places:
    """Where one flip falls among the pulses, as counts from the first.

    begins : pulses that begin at or before the flip         settled : pulses that end at or before it
    closes : pulses that end before the next flip, or by the run's end
    ends   : pulses that end inside the answer window
    """

    begins: int
    settled: int
    closes: int
    ends: int


def places(pulses: Pulses, flips_ns: Sequence[int], *, stop_ns: int, window_ns: float) -> list[Places]:
    """Return where each flip falls among the pulses; the last one lasts until the run's end."""
    times = np.asarray(flips_ns, np.int64)
    begins = np.searchsorted(pulses.leading_ns, times, side="right")
    settled = np.searchsorted(pulses.trailing_ns, times, side="right")
    closes = np.searchsorted(pulses.trailing_ns, times[1:], side="left")
    last = np.searchsorted(pulses.trailing_ns, stop_ns, side="right")
    ends = np.searchsorted(pulses.trailing_ns, times + int(window_ns), side="right")
    rows = zip(begins.tolist(), settled.tolist(), [*closes.tolist(), int(last)], ends.tolist(), strict=False)
    return [Places(begins=b, settled=s, closes=max(b, c), ends=e) for b, s, c, e in rows]


def measure_answer(pulses: Pulses, place: Places, *, flip_ns: int, next_ns: int, resolution_ns: float) -> Answer:
    """Return the output's answer to the flip at flip_ns; next_ns is the next flip, or the run's end.

    A point is the first pulse that begins after the flip, ends inside the window and before next_ns, and is at or
    past the point's share of the step (one stamp interval of tolerance), where the next pulse present agrees. `mid`
    needs a step of 8 sigma, the others 30.
    """
    before = slice(max(0, place.settled - LEVEL_PULSES), place.settled)
    after = slice(max(place.begins, place.closes - LEVEL_PULSES), place.closes)
    low = pulses.durations_ns[before].tolist()
    high = pulses.durations_ns[after].tolist()
    levels = Answer(
        count_before=len(low),
        count_after=len(high),
        before_ns=float(median(low)) if len(low) >= FEWEST_LEVEL_PULSES else None,
        after_ns=float(median(high)) if len(high) >= FEWEST_LEVEL_PULSES else None,
        sigma_ns=max(_pooled_sd(low, high), resolution_ns),
        opening=place.begins - 1 if place.begins else None,
        unbroken=not bool(pulses.broken[before.start + 1 : after.stop].any()),
        from_ns=int(pulses.leading_ns[before.start]) if low else flip_ns,
        to_ns=int(pulses.trailing_ns[after.stop - 1]) if high else next_ns,
    )
    if levels.before_ns is None or levels.after_ns is None or abs(levels.step_ns) < MID_SIGMAS * levels.sigma_ns:
        return levels
    width = max(0, min(place.ends, place.closes) - place.begins)
    # One more than the window holds: it may still agree with the last one inside.
    durations = pulses.durations_ns[place.begins : place.begins + width + 1]
    towards = 1.0 if levels.step_ns > 0 else -1.0
    travelled: NDArray[np.float64] = np.asarray(durations - levels.before_ns, np.float64) * towards
    return replace(levels, **_points(travelled, levels, place.begins, width=width, tolerance_ns=resolution_ns))


def _points(travelled: NDArray[np.float64], levels: Answer, begins: int, *, width: int, tolerance_ns: float) -> _Points:
    """Return the points among the first `width` pulses after the flip; the pulse after them may still agree.

    travelled : [ns towards the new level], one a pulse from the first that begins after the flip
    """
    step = abs(levels.step_ns)
    ways = travelled.tolist()

    def reached(share: float) -> int | None:
        level = share * step - tolerance_ns
        for number, (this, following) in enumerate(pairwise(ways)):
            if this >= level and following >= level:
                return begins + number
        return None

    near = np.abs(travelled[:width] - step / 2) <= NEAR_SIGMAS * levels.sigma_ns
    mid = reached(0.5)
    outer = mid is not None and step >= OUTER_SIGMAS * levels.sigma_ns
    return _Points(
        first=reached(0.1) if outer else None,
        mid=mid,
        near_final=reached(0.9) if outer else None,
        near_half_way=bool(near.any()),
    )


def _pooled_sd(one: list[int], other: list[int]) -> float:
    """Return the pooled standard deviation of two stretches of durations; 0 below three values."""
    dof = len(one) + len(other) - 2
    if dof < 1:
        return 0.0
    return math.sqrt((_squares(one) + _squares(other)) / dof)


def _squares(values: list[int]) -> float:
    """Return the sum of squared deviations from the mean, in exact integers until the one division."""
    if not values:
        return 0.0
    count = len(values)
    return (count * sum(value * value for value in values) - sum(values) ** 2) / count
