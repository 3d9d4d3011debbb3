"""How the output answered one flip: levels before and after, and the pulses that reach 10, 50 and 90 % of the step."""

from dataclasses import dataclass, replace
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


def measure_answer(
    pulses: Pulses, *, flip_ns: int, next_ns: int, is_last: bool, window_ns: float, resolution_ns: float
) -> Answer:
    """Return the output's answer to the flip at flip_ns.

    next_ns is the next flip, or the run's end when is_last. A point is the first pulse that begins after the flip,
    ends inside the window and before next_ns, and is at or past the point's share of the step (one stamp
    interval of tolerance), where the next pulse present agrees. `mid` needs a step of 8 sigma, the others 30.
    """
    leading, trailing = pulses.leading_ns, pulses.trailing_ns
    begins = int(np.searchsorted(leading, flip_ns, side="right"))
    settled = int(np.searchsorted(trailing, flip_ns, side="right"))
    closes = int(np.searchsorted(trailing, next_ns, side="right" if is_last else "left"))
    before = slice(max(0, settled - LEVEL_PULSES), settled)
    after = slice(max(begins, closes - LEVEL_PULSES), max(begins, closes))
    durations = pulses.durations_ns
    low, high = durations[before], durations[after]
    sigma = max(_pooled_sd(low, high), resolution_ns)
    levels = Answer(
        count_before=low.size,
        count_after=high.size,
        before_ns=float(np.median(low)) if low.size >= FEWEST_LEVEL_PULSES else None,
        after_ns=float(np.median(high)) if high.size >= FEWEST_LEVEL_PULSES else None,
        sigma_ns=sigma,
        opening=begins - 1 if begins else None,
        unbroken=not bool(pulses.broken[before.start + 1 : after.stop].any()),
        from_ns=int(leading[before.start]) if low.size else flip_ns,
        to_ns=int(trailing[after.stop - 1]) if high.size else next_ns,
    )
    if levels.before_ns is None or levels.after_ns is None or abs(levels.step_ns) < MID_SIGMAS * sigma:
        return levels
    ends = int(np.searchsorted(trailing, flip_ns + window_ns, side="right"))
    towards = float(np.sign(levels.step_ns))
    travelled: NDArray[np.float64] = np.asarray(durations[begins:] - levels.before_ns, np.float64) * towards
    width = max(0, min(ends, closes) - begins)
    return replace(levels, **_points(travelled, levels, begins, width=width, tolerance_ns=resolution_ns))


def _points(travelled: NDArray[np.float64], levels: Answer, begins: int, *, width: int, tolerance_ns: float) -> _Points:
    """Return the points among the first `width` pulses after the flip; the pulse after them may still agree.

    travelled : [ns towards the new level], one a pulse from the first that begins after the flip
    """
    step = abs(levels.step_ns)

    def reached(share: float) -> int | None:
        past = travelled[: width + 1] >= share * step - tolerance_ns
        agreed = np.flatnonzero(past[:-1] & past[1:])
        return begins + int(agreed[0]) if agreed.size else None

    near = np.abs(travelled[:width] - step / 2) <= NEAR_SIGMAS * levels.sigma_ns
    mid = reached(0.5)
    outer = mid is not None and step >= OUTER_SIGMAS * levels.sigma_ns
    return _Points(
        first=reached(0.1) if outer else None,
        mid=mid,
        near_final=reached(0.9) if outer else None,
        near_half_way=bool(near.any()),
    )


def _pooled_sd(one: NDArray[np.int64], other: NDArray[np.int64]) -> float:
    """Return the pooled standard deviation of two stretches of durations; 0 below three values."""
    dof = one.size + other.size - 2
    if dof < 1:
        return 0.0
    squares = sum(float(((values - values.mean()) ** 2).sum()) for values in (one, other) if values.size)
    return float(np.sqrt(squares / dof))
