"""Pulses of a moving sweep, placed where the stick stood when their value was sampled."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchapp.waveforms.stick_track import GRID_NS, Track
from benchapp.waveforms.strokes import Moves

GUARD_NS = 80_000_000
"""A pulse counts if its stick moved one way for 80 ms before and after: near a turn nobody knows which way it was."""
GUARD_TRAVEL = 0.03
"""Share of the range that must be travelled since the turn, so that play has been taken up."""
LEAST_STROKE = 0.3
_SLOWEST = 0.05
_RATE_TRAVEL = 0.01
_RATE_POINTS = (4, 100)

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Motion:
    """How the stick moved, on the track's grid.

    rate_v_s : volts a second     stroke : number of the stroke, -1 in none     way : +1 rising, -1 falling, 0 neither
    moving : it moved the stroke's way     travel : share of the range since the stroke began
    """

    track: Track
    low_v: float
    range_v: float
    rate_v_s: Array
    stroke: NDArray[np.intp]
    way: Array
    moving: Mask
    travel: Array
    strokes: int


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Placed:
    """Pulses of moving strokes at one delay.

    number : which pulses, indices into those given     z : where the stick stood, 0 at low_v, 1 at high_v
    rate   : z a second, signed     stroke : number of the stroke     way : +1 rising, -1 falling     us : the pulse
    """

    number: NDArray[np.intp]
    z: Array
    rate: Array
    stroke: NDArray[np.intp]
    way: Array
    us: Array

    @property
    def count(self) -> int:
        """The number of pulses."""
        return int(self.z.size)

    def only(self, keep: Mask) -> "Placed":
        """Return the pulses for which keep holds."""
        return Placed(
            number=self.number[keep],
            z=self.z[keep],
            rate=self.rate[keep],
            stroke=self.stroke[keep],
            way=self.way[keep],
            us=self.us[keep],
        )


def motion(track: Track, moves: Moves) -> Motion:
    """Return how the stick moved. moves must hold a stroke at least."""
    size, range_v = track.volts.size, moves.high_v - moves.low_v
    stroke = np.full(size, -1, np.intp)
    way, began = np.zeros(size), np.zeros(size)
    speeds = [abs(s.to_v - s.from_v) / (s.to_ns - s.from_ns) * 1e9 for s in moves.strokes]
    for number, one in enumerate(moves.strokes):
        span = slice((one.from_ns - track.begin_ns) // GRID_NS, (one.to_ns - track.begin_ns) // GRID_NS + 1)
        way[span], began[span] = (1.0 if one.rising else -1.0), one.from_v
        stroke[span] = number if abs(one.to_v - one.from_v) >= LEAST_STROKE * range_v else -1
    usual = float(np.median(speeds))
    rate = _rate(track.volts, round(_RATE_TRAVEL * range_v / usual * 1e9 / GRID_NS))
    return Motion(
        track=track,
        low_v=moves.low_v,
        range_v=range_v,
        rate_v_s=rate,
        stroke=stroke,
        way=way,
        moving=(stroke >= 0) & (way * rate >= _SLOWEST * usual) & track.known,
        travel=np.abs(track.volts - began) / range_v,
        strokes=len(moves.strokes),
    )


def steady(moved: Motion, *, guard_ns: int = GUARD_NS, travel: float = GUARD_TRAVEL) -> Mask:
    """Return the grid points at which the stick moved one way for guard_ns before and after, travel past its turn."""
    reach = guard_ns // GRID_NS
    still = np.cumsum(np.append(0, ~moved.moving))
    at = np.arange(moved.moving.size)
    around = still[np.minimum(at + reach + 1, at.size)] - still[np.maximum(at - reach, 0)]
    mask: Mask = (around == 0) & (moved.travel >= travel)
    return mask


def place(
    moved: Motion,
    allowed: Mask,
    leading_ns: NDArray[np.int64],
    durations_us: Array,
    *,
    delay_ns: float,
    ends_v: tuple[float, float],
) -> Placed:
    """Return the pulses whose stick was at an allowed grid point delay_ns before their leading edge."""
    before, share = moved.track.places(leading_ns, earlier_ns=delay_ns)
    number = np.flatnonzero(allowed[before] & allowed[before + 1])
    before, share = before[number], share[number]
    low_v, width_v = ends_v[0], ends_v[1] - ends_v[0]

    def between(values: Array) -> Array:
        there: Array = values[before] + share * (values[before + 1] - values[before])
        return there

    return Placed(
        number=number,
        z=(between(moved.track.volts) - low_v) / width_v,
        rate=between(moved.rate_v_s) / width_v,
        stroke=moved.stroke[before],
        way=moved.way[before],
        us=durations_us[number],
    )


def _rate(volts: Array, points: int) -> Array:
    """Return volts a second over so many points before and after each, limited to 40 ms and 1 s."""
    reach = min(max(points, _RATE_POINTS[0]), _RATE_POINTS[1])
    padded = np.pad(volts, reach, mode="edge")
    rate: Array = (padded[2 * reach :] - padded[: -2 * reach]) / (2 * reach * GRID_NS / 1e9)
    return rate
