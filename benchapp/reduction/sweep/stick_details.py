"""Details of a moving sweep: the flat round the centre, the dead band on reversal, and how often new values come.

What counts is what a width has beyond that of the same rule on the best cubic: expo is no fault.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from benchapp.records.findings import BudgetLine
from benchapp.reduction.ground.uncertainty import combine, one_step
from benchapp.reduction.sweep.sweep_pulses import Placed
from benchapp.waveforms.stick_track import Track
from benchapp.waveforms.strokes import Moves

CELL = 0.0025
_SHALLOW_AT = (0.02, 0.48, 0.52, 0.98)
_SHALLOW = 0.1
_REACH = 0.12
_LINE = (0.004, 0.04)
_TURN_REACH = 0.15
_TURN_LINE = (0.005, 0.05)
_FEWEST = 8
_MOST_GROUPS = 10
_MEANT = 1.25
"""A flat must be wider than the best cubic's by a quarter: no expo setting is a cubic to the last step."""
_CLEAR = 1.5

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, slots=True)
class Turn:
    """One end of the travel at which the stick turned: where it rested (volts), and what the output said there."""

    volts: float
    us: float
    high: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Width:
    """A width on the stick's travel, as a share of it, with its expanded uncertainty; u is None below three strokes.

    resolved : it is neither chance nor what the curve's own slope makes of a step
    """

    share: float
    expanded_u: float | None
    resolved: bool | None


def centre_flat(
    placed: Placed, smooth_us: Array | None, *, centre_z: float, allowed_us: float, step_us: float, tread: float
) -> Width | None:
    """Return the range of travel round the centre within which the output changes by no more than one step.

    placed : moving pulses, z over the whole travel     smooth_us : what the best cubic says at each, None without one
    allowed_us : what noise and steps alone may do     tread : the travel of one step, as a share, where steps are even
    It is resolved where it is wider, by more than its uncertainty, than the same rule finds on the best cubic: where a
    curve is meant to be shallow a step takes more travel, and nothing is wrong. None where too few pulses are near.
    """
    close = np.abs(placed.z - centre_z) <= _REACH + _LINE[1]
    near = placed.only(close)

    def flat(these: Placed) -> float | None:
        return _flat(these, centre_z=centre_z, allowed_us=allowed_us, step_us=step_us)

    found = flat(near)
    if found is None:
        return None
    meant = tread if smooth_us is None else flat(replace(near, us=smooth_us[close]))
    u = _expanded([flat(part) for part in _without_some(near)], tread)
    if u is None:
        return Width(share=found, expanded_u=None, resolved=None)
    shallow = smooth_us is not None and _is_shallow(placed.z, smooth_us)
    resolved = not shallow and meant is not None and found - _MEANT * meant > u
    return Width(share=found, expanded_u=u, resolved=resolved)


def dead_band(
    placed: Placed,
    turns: dict[int, Turn],
    smooth: tuple[Array, dict[int, Turn]] | None,
    *,
    low_v: float,
    range_v: float,
    allowed_us: float,
    tread: float,
) -> Width | None:
    """Return how far the stick comes back after a rest at an end before the output moves, as a share of travel.

    placed : pulses of moving strokes from their very beginning, z from low_v over range_v
    turns  : of each stroke that began at a rest, what the rest was like
    smooth : what the best cubic says at each pulse, and at the rests; None without one
    The output moves where a line through the pulses that followed meets its value at rest, or where it first left that
    value if that is sooner by more than a cell of 0.25 %. The mean of both ends, less what the same rule finds on the
    best cubic: a line through a bent curve misses its end. None where nothing was seen.
    """
    begins = np.isin(placed.stroke, list(turns))
    begun = placed.only(begins)

    def band(these: Placed, those: dict[int, Turn] = turns) -> float | None:
        return _band(these, those, low_v=low_v, range_v=range_v, allowed_us=allowed_us)

    found = band(begun)
    if found is None:
        return None
    bent = None if smooth is None else band(replace(begun, us=smooth[0][begins]), smooth[1])
    u = _expanded([band(part) for part in _without_some(begun)], tread)
    share = max(found - (bent or 0.0), 0.0)
    return Width(share=share, expanded_u=u, resolved=None if u is None else share > u)


def _is_shallow(z: Array, smooth_us: Array) -> bool:
    """Return whether the curve is meant to be nearly level at the centre: below a tenth of its mean slope."""
    order = np.argsort(z)
    low, left, right, high = np.interp(_SHALLOW_AT, z[order], smooth_us[order])
    near = (right - left) / (_SHALLOW_AT[2] - _SHALLOW_AT[1])
    return bool(abs(near) < _SHALLOW * abs(high - low) / (_SHALLOW_AT[3] - _SHALLOW_AT[0]))


def _flat(placed: Placed, *, centre_z: float, allowed_us: float, step_us: float) -> float | None:
    """Return the range round the centre, the mean of rising and falling: play moves the flat, it does not widen it.

    The range ends where straight lines through the pulses outside have gone half a step from the value at the centre.
    """
    found = []
    for way in (1.0, -1.0):
        these = placed.way == way
        off, us = placed.z[these] - centre_z, placed.us[these]
        near = np.abs(off) <= 2 * CELL
        if np.count_nonzero(near) < 2:
            near = np.argsort(np.abs(off))[:3]
        if off.size < _FEWEST:
            continue
        level = float(np.median(us[near]))
        edges = [_edge(side * off, us - level, allowed_us, _LINE, _REACH, half_step_us=step_us / 2) for side in (1, -1)]
        if edges[0] is not None and edges[1] is not None:
            found.append(max(edges[0], 0.0) + max(edges[1], 0.0))
    return float(np.mean(found)) if found else None


def _band(placed: Placed, turns: dict[int, Turn], *, low_v: float, range_v: float, allowed_us: float) -> float | None:
    found = []
    for high in (False, True):
        numbers = [number for number, turn in turns.items() if turn.high == high]
        these = np.isin(placed.stroke, numbers)
        if np.count_nonzero(these) < _FEWEST:
            continue
        rests = np.array([(turns[n].volts - low_v) / range_v for n in placed.stroke[these].tolist()])
        values = np.array([turns[n].us for n in placed.stroke[these].tolist()])
        back, off = np.abs(placed.z[these] - rests), placed.us[these] - values
        meets = _edge(back, off, allowed_us, _TURN_LINE, _TURN_REACH)
        if meets is not None:
            leaves = _leaves(back, off, allowed_us)
            found.append(leaves if meets > leaves + CELL else meets)
    return float(np.mean(found)) if found else None


def _without_some(placed: Placed) -> list[Placed]:
    """Return the pulses without each stroke in turn; of many strokes, without each of ten groups of them."""
    names, place = np.unique(placed.stroke, return_inverse=True)
    groups = min(names.size, _MOST_GROUPS)
    return [placed.only(place % groups != number) for number in range(groups)] if groups > 2 else []


def _expanded(without: Sequence[float | None], tread: float) -> float | None:
    """Return a width's expanded uncertainty: from leaving out strokes (Tukey's jackknife), a tread and half a cell."""
    known = np.array([value for value in without if value is not None])
    if known.size < 3:
        return None
    n = known.size
    spread = float(np.sqrt((n - 1) / n * np.sum((known - known.mean()) ** 2)))
    lines = [
        BudgetLine(source="strokes", standard_ms=spread, kind="A", dof=n - 1.0),
        BudgetLine(source="step", standard_ms=one_step(tread), kind="B", dof=None),
        BudgetLine(source="cell", standard_ms=one_step(CELL / 2), kind="B", dof=None),
    ]
    return combine(lines).expanded_ms


def refresh_ms(placed: Placed, leading_ns: NDArray[np.int64], *, step_us: float, noise_us: float) -> float | None:
    """Return the median interval between new values while the stick moves, in ms.

    A value is new where it differs from the one before by more than half a step and than noise would. None where the
    stick moved too slowly for that: a new value must be expected to differ by one and a half times as much.
    """
    least = max(0.5 * step_us, 4.5 * noise_us, 1e-3)
    follows = (np.diff(placed.number) == 1) & (np.diff(placed.stroke) == 0)
    new = follows & (np.abs(np.diff(placed.us)) > least)
    at = placed.number[1:][new]
    if at.size < 20:
        return None
    runs = np.cumsum(~follows)[new]
    whole = np.diff(runs) == 0
    intervals_ns = np.diff(leading_ns[at])[whole]
    moves_us = np.abs(np.diff(placed.us[1:][new]))[whole]
    if intervals_ns.size < 20 or float(np.median(moves_us)) < _CLEAR * max(step_us, least):
        return None
    return float(np.median(intervals_ns)) / 1e6


def turns_before(
    track: Track, moves: Moves, leading_ns: NDArray[np.int64], us: Array, delay_ns: float
) -> dict[int, Turn]:
    """Return, by number of the stroke, the rest it began at with what the output said there, where there was one."""
    found = {}
    for number, stroke in enumerate(moves.strokes):
        rest = next((r for r in moves.rests if abs(r.to_ns - stroke.from_ns) < 50_000_000), None)
        if rest is None:
            continue
        late = (rest.from_ns + rest.to_ns) / 2
        seen = slice(*np.searchsorted(leading_ns, [late + delay_ns, rest.to_ns + delay_ns]))
        if us[seen].size >= 3:
            found[number] = Turn(volts=rest.at_v, us=float(np.median(us[seen])), high=rest.high)
    return found


def _leaves(distance: Array, off_us: Array, allowed_us: float) -> float:
    """Return the distance at which the pulses first keep away from zero, cell by cell; inf if they never do."""
    cell = np.floor(distance / CELL).astype(np.intp)
    inside = (cell >= 0) & (cell < _REACH / CELL)
    if not inside.any():
        return float("inf")
    counts = np.bincount(cell[inside])
    filled = np.flatnonzero(counts)
    away = np.bincount(cell[inside], np.abs(off_us[inside]))[filled] / counts[filled] > allowed_us
    stays = np.flatnonzero(away[:-2] & away[1:-1] & away[2:])
    return float((filled[stays[0]] + 0.5) * CELL) if stays.size else float("inf")


def _edge(
    distance: Array,
    off_us: Array,
    allowed_us: float,
    line: tuple[float, float],
    reach: float,
    *,
    half_step_us: float = 0.0,
) -> float | None:
    """Return the distance at which a line through the pulses that have left reaches half a step from zero."""
    begins = _leaves(distance, off_us, allowed_us)
    inside = (distance >= begins + line[0]) & (distance <= begins + line[1])
    if begins > reach or np.count_nonzero(inside) < _FEWEST:
        return None
    x, y = distance[inside], off_us[inside]
    centre = float(x.mean())
    squares = float(np.sum((x - centre) ** 2))
    slope = float(np.sum((x - centre) * y)) / squares if squares > 0 else 0.0
    if slope == 0.0:
        return None
    towards = half_step_us if slope > 0 else -half_step_us
    return centre + (towards - float(y.mean())) / slope
