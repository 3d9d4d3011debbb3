"""Strokes of the stick and its rests at the ends, from its track."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchapp.waveforms.stick_track import GRID_NS, Track

TURN_SHARE = 0.1
"""A turn counts once the stick has come back by a tenth of its range: hesitations are part of a stroke."""
END_SHARE = 0.1
"""A stroke is whole when it runs from within a tenth of one end to within a tenth of the other."""
_STILL_SHARE = 0.004
_SHORTEST_REST_NS = 250_000_000
_NO_MOVE_SHARE = 0.02
_NO_MOVE_V = 0.02


@dataclass(frozen=True, kw_only=True, slots=True)
class Stroke:
    """One move of the stick from turn to turn, without the rests. rising: towards more volts; whole: end to end."""

    from_ns: int
    to_ns: int
    from_v: float
    to_v: float
    rising: bool
    whole: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Rest:
    """A span in which the stick stood at one of its ends."""

    from_ns: int
    to_ns: int
    at_v: float
    high: bool


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Moves:
    """What the stick did. low_v, high_v : its range; strokes and rests in time order, none where it never moved."""

    low_v: float
    high_v: float
    strokes: tuple[Stroke, ...]
    rests: tuple[Rest, ...]

    @property
    def cycles(self) -> int:
        """The number of full cycles: whole strokes up and down, in pairs."""
        up = sum(stroke.whole and stroke.rising for stroke in self.strokes)
        down = sum(stroke.whole and not stroke.rising for stroke in self.strokes)
        return min(up, down)


def find_moves(track: Track, *, full_scale_v: float | None = None) -> Moves:
    """Return the strokes and end rests of a track.

    A stick that keeps within 2 % of the lead's full scale (20 mV where that is unknown), or within 20 times its
    noise, was never moved.
    """
    volts = track.volts[track.known]
    if not volts.size:
        return Moves(low_v=0.0, high_v=0.0, strokes=(), rests=())
    low, high = float(volts.min()), float(volts.max())
    least = max(_NO_MOVE_V if full_scale_v is None else _NO_MOVE_SHARE * full_scale_v, 20.0 * track.noise_v)
    if high - low < least:
        return Moves(low_v=low, high_v=high, strokes=(), rests=())
    turns = _turns(track.volts, TURN_SHARE * (high - low))
    still = max(_STILL_SHARE * (high - low), 4.0 * track.noise_v)
    plateaus = [_plateau(track.volts, turn, still) for turn in turns]
    strokes = [_stroke(track, plateaus[i][1], plateaus[i + 1][0], low=low, high=high) for i in range(len(turns) - 1)]
    rests = [_rest(track, *plateau, low=low, high=high) for plateau in plateaus]
    return Moves(
        low_v=low,
        high_v=high,
        strokes=tuple(stroke for stroke in strokes if stroke is not None),
        rests=tuple(rest for rest in rests if rest is not None),
    )


def _turns(volts: NDArray[np.float64], back: float) -> list[int]:
    """Return the points at which the stick turned, with its first and last extreme."""
    turns: list[int] = []
    way, extreme, other = 0, 0, 0
    values = volts.tolist()
    for i, value in enumerate(values):
        if way == 0:
            extreme = i if value > values[extreme] else extreme
            other = i if value < values[other] else other
            if value <= values[extreme] - back:
                turns, way, extreme = [extreme], -1, i
            elif value >= values[other] + back:
                turns, way, extreme = [other], 1, i
        elif way * (value - values[extreme]) > 0:
            extreme = i
        elif way * (values[extreme] - value) >= back:
            turns.append(extreme)
            way, extreme = -way, i
    return [*turns, extreme] if turns else []


def _plateau(volts: NDArray[np.float64], turn: int, still: float) -> tuple[int, int]:
    """Return the first and last point around a turn at which the stick stood still."""
    before = _first_away(volts[turn::-1], still)
    after = _first_away(volts[turn:], still)
    return turn + 1 - before, turn + after - 1


def _first_away(volts: NDArray[np.float64], still: float) -> int:
    """Return the number of points, from the first on, that stay with it; all of them where none leaves it.

    Looked at in stretches of growing length: a track of many turns is not read whole for each of them.
    """
    start, length = 0, 256
    while start < volts.size:
        away = np.flatnonzero(np.abs(volts[start : start + length] - volts[0]) > still)
        if away.size:
            return start + int(away[0])
        start, length = start + length, 2 * length
    return int(volts.size)


def _stroke(track: Track, first: int, last: int, *, low: float, high: float) -> Stroke | None:
    if last <= first:
        return None
    start, end = float(track.volts[first]), float(track.volts[last])
    near = END_SHARE * (high - low)
    rising = end > start
    bottom, top = (start, end) if rising else (end, start)
    return Stroke(
        from_ns=track.begin_ns + first * GRID_NS,
        to_ns=track.begin_ns + last * GRID_NS,
        from_v=start,
        to_v=end,
        rising=rising,
        whole=bottom <= low + near and top >= high - near,
    )


def _rest(track: Track, first: int, last: int, *, low: float, high: float) -> Rest | None:
    """Return the rest between two points if it lasts and lies at an end."""
    if (last - first) * GRID_NS < _SHORTEST_REST_NS:
        return None
    at = float(np.median(track.volts[first : last + 1]))
    near = END_SHARE * (high - low)
    if low + near < at < high - near:
        return None
    return Rest(
        from_ns=track.begin_ns + first * GRID_NS,
        to_ns=track.begin_ns + last * GRID_NS,
        at_v=at,
        high=at >= high - near,
    )
