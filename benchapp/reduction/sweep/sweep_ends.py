"""The two ends of a sweep: where the stick rests there, and where the output or the lead stops following first."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchapp.reduction.sweep.sweep_pulses import Placed
from benchapp.waveforms.stick_track import GRID_NS, Track
from benchapp.waveforms.strokes import Moves

SETTLE_NS = 100_000_000
"""What a rest's first pulses still say of the stroke before it."""
FEWEST_AT_REST = 5
CELL = 0.0025
LEAST_CLIP = 0.01
"""A clip of less than 1 % of travel cannot be told from a stick that stopped short."""
LEAST_EXCESS = 0.01
RAIL_MARGIN = 0.01
_INNER = 0.03
_APART = 0.004
_STILL_STRAIGHT = 0.7
_SEEN_LOSS = 5.0
_OF_LOOP = 0.6

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, slots=True)
class AtRest:
    """What stick and output said while the stick rested at one end; sd_us is None below two pulses."""

    volts: float
    us: float
    sd_us: float | None
    pulses: int

    @property
    def u_us(self) -> float:
        """Standard uncertainty of the median from the pulses' scatter: √(π/2)·SD/√n of a normal law."""
        return math.sqrt(math.pi / 2 / self.pulses) * (self.sd_us or 0.0)


@dataclass(frozen=True, kw_only=True, slots=True)
class SweepEnd:
    """One end of the transfer curve, in volts and µs.

    rested : taken from rests     clipped : the output stopped before the stick     railed : the lead stopped before it
    """

    volts: float
    us: float
    rested: bool
    clipped: bool = False
    railed: bool = False


def at_rest(
    track: Track,
    moves: Moves,
    leading_ns: NDArray[np.int64],
    durations_us: Array,
    *,
    high: bool,
    delay_ns: float,
) -> AtRest | None:
    """Return the median of stick and pulses over the rests at one end, None where the stick did not rest there."""
    spans = [(r.from_ns, r.to_ns) for r in moves.rests if r.high == high]
    volts, pulses, noise = [], [], []
    for begin, end in spans:
        grid = slice((begin - track.begin_ns) // GRID_NS, (end - track.begin_ns) // GRID_NS + 1)
        volts.append(track.volts[grid][track.known[grid]])
        seen = slice(*np.searchsorted(leading_ns, [begin + delay_ns + SETTLE_NS, end + delay_ns]))
        pulses.append(durations_us[seen])
        noise.append(np.abs(np.diff(pulses[-1])))
    if not spans or sum(p.size for p in pulses) < FEWEST_AT_REST or not sum(v.size for v in volts):
        return None
    off = np.concatenate(noise)
    return AtRest(
        volts=float(np.median(np.concatenate(volts))),
        us=float(np.median(np.concatenate(pulses))),
        # From pulse to pulse, and by the commonest two thirds: what drifts, or still moves beyond a rail, is no noise.
        sd_us=float(np.percentile(off, 68.27)) / 2**0.5 if off.size else None,
        pulses=sum(p.size for p in pulses),
    )


def sweep_end(
    placed: Placed, rest: AtRest | None, moves: Moves, *, high: bool, step_us: float, loop_us: float
) -> SweepEnd:
    """Return one end of the curve.

    placed : moving pulses, z from moves.low_v to moves.high_v     step_us : the output's step, 0 if unknown
    loop_us : about how far up and down lie apart
    Without a rest the end is where the strokes turned, at the value of a straight line through the last pulses.
    """
    # All of this looks along s, the distance from the end, so that both ends are one case.
    ends = [stroke.to_v if stroke.rising == high else stroke.from_v for stroke in moves.strokes if stroke.whole]
    volts = (
        rest.volts if rest is not None else float(np.median(ends)) if ends else moves.high_v if high else moves.low_v
    )
    width = moves.high_v - moves.low_v
    end_z = (volts - moves.low_v) / width
    s = end_z - placed.z if high else placed.z - end_z
    outward = 1.0 if high else -1.0
    if rest is None:
        line = _line(s, placed, 0.0, 0.0 + 2 * _INNER)
        return SweepEnd(volts=volts, us=float("nan") if line is None else line[0], rested=False)
    allowed = max(0.6 * step_us, 2.0 * (rest.sd_us or 0.0))
    clipped_at = _clipped_at(s, placed, rest.us, allowed, loop_us)
    if clipped_at is not None and _stops_on_the_way(s, placed, rest.us, allowed, outward):
        return SweepEnd(volts=volts - outward * clipped_at * width, us=rest.us, rested=True, clipped=True)
    line = _line(s, placed, RAIL_MARGIN, RAIL_MARGIN + _INNER)
    if line is not None and abs(rest.us - line[0]) > max(3.0 * allowed, LEAST_EXCESS * abs(line[1])):
        inward = -line[1]
        if (rest.us - line[0]) * inward > 0:
            at = line[0] + line[1] * RAIL_MARGIN
            return SweepEnd(volts=volts - outward * RAIL_MARGIN * width, us=at, rested=False, railed=True)
    return SweepEnd(volts=volts, us=rest.us, rested=True)


def _clipped_at(s: Array, placed: Placed, end_us: float, allowed: float, loop_us: float) -> float | None:
    """Return how far from the end the output stops following, None where it follows to the end.

    The output lies at its end value over a stretch, and before that runs as straight as farther in.
    """
    flat = _flat_until(s, np.abs(placed.us - end_us), allowed + _OF_LOOP * loop_us)
    if flat < LEAST_CLIP:
        return None
    near = _line(s, placed, flat + _APART, flat + _APART + _INNER)
    far = _line(s, placed, flat + _APART + _INNER, flat + _APART + 2 * _INNER)
    if near is None or far is None or near[1] == 0 or near[1] / far[1] < _STILL_STRAIGHT:
        return None
    knee = (end_us - near[0]) / near[1]
    lost_us = abs(near[1] * knee)
    return float(knee) if knee >= LEAST_CLIP and lost_us > _SEEN_LOSS * allowed else None


def _stops_on_the_way(s: Array, placed: Placed, end_us: float, allowed: float, outward: float) -> bool:
    """Return whether strokes that went towards the end stopped short of it too.

    Play keeps the output at its end value while the stick comes back: half-way between both ways that looks clipped.
    With 3 % of play, lines so stay within 0.05 % of span and a step of the truth.
    """
    towards = placed.way == outward
    return _clipped_at(s[towards], placed.only(towards), end_us, allowed, 0.0) is not None


def _flat_until(s: Array, off_us: Array, allowed: float) -> float:
    """Return how far from the end the pulses keep within what is allowed, cell by cell."""
    cell = np.floor(s / CELL).astype(np.intp)
    inside = (cell >= 0) & (cell < 0.5 / CELL)
    if not inside.any():
        return 0.0
    counts = np.bincount(cell[inside])
    filled = np.flatnonzero(counts)
    away = np.bincount(cell[inside], off_us[inside])[filled] / counts[filled] > allowed
    # It has left where it stays away: three cells in a row, as one alone may hold a single stray pulse.
    stays = np.flatnonzero(away[:-2] & away[1:-1] & away[2:])
    return float(filled[stays[0]] * CELL) if stays.size else 0.0


def _line(s: Array, placed: Placed, begin: float, end: float) -> tuple[float, float] | None:
    """Return value at s = 0 and slope of a line through the pulses of a stretch, half-way between up and down."""
    inside = (s >= begin) & (s <= end)
    if np.count_nonzero(inside) < FEWEST_AT_REST:
        return None
    x, y, way = s[inside], placed.us[inside], placed.way[inside]
    both = np.ptp(way) > 0
    columns = np.column_stack([np.ones_like(x), x - x.mean(), *([way] if both else [])])
    solved = np.linalg.lstsq(columns, y - y.mean(), rcond=None)[0]
    return float(y.mean() + solved[0] - solved[1] * x.mean()), float(solved[1])
