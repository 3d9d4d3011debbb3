"""A continuous sweep measured: delay and hysteresis, the ends, and the curve in between."""

import math
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from benchapp.reduction.ground.output_pulses import OutputPulses
from benchapp.reduction.ground.resolution import OutputStep, output_step
from benchapp.reduction.ground.uncertainty import one_step
from benchapp.reduction.sweep.sweep_ends import AtRest, SweepEnd, at_rest, sweep_end
from benchapp.reduction.sweep.sweep_fit import SweepFit, fit_sweep
from benchapp.reduction.sweep.sweep_pulses import Motion, Placed, motion, place, steady
from benchapp.reduction.sweep.transfer_curve import POSITIONS, Curve, averaged, curve_of_readings, stroke_readings
from benchapp.waveforms.stick_track import Track
from benchapp.waveforms.strokes import Moves

LEAST_ANSWER = 8.0
"""An output follows the stick if it moves by so many standard deviations of what the curve leaves over."""
_END_MARGIN = 0.015
_CURVE_GUARD_NS = 20_000_000
_CURVE_TRAVEL = 0.003
_PLAY_TAKEN_UP = 0.5
"""Of the way back through the play the first half is left out, for the turn; the rest is read like any position."""
_STRAY_SD = 8.0
_STRAY_SHARE = 0.005
_MOST_STRAYS = 0.05
_STRAY_ROUNDS = 6
_STRUCK_SHARE = 0.01

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class MovingSweep:
    """What was measured on a sweep of the moving stick.

    ends_v : low and high end of the curve     rests : what was read there while the stick rested
    placed : the curve's pulses, z from end to end     loose : all moving pulses, z over the stick's whole travel
    travel_v : (low, high) of the stick's travel     strays : pulses left out because they lie far off every curve
    delay_ns : the delay the curve was drawn with     end_u_us : standard uncertainty of one end's pulse
    tread : the share of travel that one step takes, or one stamp interval where no step shows
    """

    moved: Motion
    fit: SweepFit
    delay_ns: float
    step: OutputStep | None
    step_us: float
    noise_us: float
    rests: tuple[AtRest | None, AtRest | None]
    ends: tuple[SweepEnd, SweepEnd]
    travel_v: tuple[float, float]
    curve: Curve
    placed: Placed
    loose: Placed
    strays: int
    end_u_us: float
    tread: float

    @property
    def allowed_us(self) -> float:
        """How far noise and steps alone may carry a pulse from its value."""
        return max(0.6 * self.step_us, 2.0 * self.noise_us)


def measure_sweep(track: Track, moves: Moves, output: OutputPulses, *, tick_ns: float) -> MovingSweep | None:
    """Return what a moving sweep showed, or None where the output did not follow the stick.

    moves must hold a stroke at least.
    """
    moved = motion(track, moves)
    counted = output.counted
    leading, us, raw = output.pulses.leading_ns[counted], output.us[counted], output.pulses.durations_ns[counted]
    if us.size < 2:
        return None
    fit, strays = _fitted(moved, leading, us)
    if fit is None or abs(fit.knots_us[-1] - fit.knots_us[0]) < LEAST_ANSWER * fit.sd_us:
        return None
    delay_ns = (fit.delay_s if fit.told_apart else fit.alone_s) * 1e9
    loop_us = abs(fit.hysteresis_us) if fit.told_apart else 0.0
    kept = ~strays
    whole_v = (moves.low_v, moves.high_v)
    rests = [at_rest(track, moves, leading, us, high=high, delay_ns=delay_ns) for high in (False, True)]
    rough = place(moved, steady(moved, guard_ns=_CURVE_GUARD_NS), leading, us, delay_ns=delay_ns, ends_v=whole_v)
    step = output_step(raw[rough.number[_inside(rough.us)]], tick_ns=tick_ns)
    step_us = 0.0 if step is None else step.step_ns * output.scale / 1e3
    tick_us = tick_ns * output.scale / 1e3
    span_us = float(np.ptp(fit.knots_us))
    travel = _CURVE_TRAVEL + _PLAY_TAKEN_UP * loop_us / span_us
    allowed = steady(moved, guard_ns=_CURVE_GUARD_NS, travel=travel)

    def placed_between(ends_v: tuple[float, float]) -> Placed:
        found = place(moved, allowed, leading, us, delay_ns=delay_ns, ends_v=ends_v)
        return found.only(kept[found.number])

    wide = placed_between(whole_v)
    low, high = (
        sweep_end(wide, rest, moves, high=is_high, step_us=step_us, loop_us=loop_us)
        for is_high, rest in zip((False, True), rests, strict=True)
    )
    travel_v = (_travel_end(low, rests[0]), _travel_end(high, rests[1]))
    placed = _unclipped(placed_between((low.volts, high.volts)), low, high, step_us)
    beginnings = place(moved, moved.moving, leading, us, delay_ns=delay_ns, ends_v=travel_v)
    noises = [rest.sd_us for rest in rests if rest is not None and rest.sd_us is not None]
    return MovingSweep(
        moved=moved,
        fit=fit,
        delay_ns=delay_ns,
        step=step,
        step_us=step_us,
        noise_us=max(noises) if noises else fit.sd_us,
        rests=(rests[0], rests[1]),
        ends=(low, high),
        travel_v=travel_v,
        curve=_curve(placed, low, high, strokes=moved.strokes, step_us=max(step_us, tick_us)),
        placed=placed,
        loose=beginnings.only(kept[beginnings.number]),
        strays=int(np.count_nonzero(strays)),
        tread=max(step_us, tick_us) / span_us,
        end_u_us=math.hypot(one_step(max(step_us, tick_us)), *(rest.u_us for rest in rests if rest is not None)),
    )


def _fitted(moved: Motion, leading: NDArray[np.int64], us: Array) -> tuple[SweepFit | None, Mask]:
    """Return the fit, and which pulses lay so far off every curve that they were left out of it."""
    allowed = steady(moved)
    ends_v = (moved.low_v, moved.low_v + moved.range_v)
    strays = _struck(us)

    def at(keep: Mask, delay_s: float) -> Placed:
        found = place(moved, allowed, leading, us, delay_ns=delay_s * 1e9, ends_v=ends_v)
        return found.only(keep[found.number])

    inside = _inside(us)
    fit = fit_sweep(partial(at, inside & ~strays))
    if fit is None:
        return None, strays
    # Strays bend the curve they are judged by: those it hid show once the first ones are out.
    for _ in range(_STRAY_ROUNDS):
        found = _far_off(fit, at(inside & ~strays, fit.delay_s), us.size)
        if not found.any() or np.count_nonzero(strays | found) > _MOST_STRAYS * us.size:
            break
        again = fit_sweep(partial(at, inside & ~strays & ~found))
        if again is None:
            break
        fit, strays = again, strays | found
    return fit, strays


def _far_off(fit: SweepFit, placed: Placed, size: int) -> Mask:
    """Return, of so many pulses, those placed ones that lie far off the curve, whichever way the stick went."""
    off = np.abs(placed.us - fit.curve_us(placed.z))
    usual = 1.4826 * float(np.median(off)) if off.size else 0.0
    # The farthest go first: the good pulses beside them are off too, as long as the curve is bent.
    farthest = float(np.max(off, initial=0.0))
    far = off > max(_STRAY_SHARE * float(np.ptp(fit.knots_us)), _STRAY_SD * usual, farthest / 3)
    strays = np.zeros(size, bool)
    strays[placed.number[far]] = True
    return strays


def _struck(us: Array) -> Mask:
    """Return which pulses stick out from both neighbours by more than 1 % of the span: no hand does that."""
    struck = np.zeros(us.size, bool)
    if us.size > 2:
        low, high = np.minimum(us[:-2], us[2:]), np.maximum(us[:-2], us[2:])
        off = np.abs(us[1:-1] - np.clip(us[1:-1], low, high))
        struck[1:-1] = off > _STRUCK_SHARE * float(np.ptp(np.percentile(us, [1, 99])))
    return struck


def _inside(us: Array) -> Mask:
    """Return which values lie clear of both ends, where the output may be clipped and tells nothing of delay."""
    low, high = np.percentile(us, [1, 99]) if us.size else (0.0, 0.0)
    margin = _END_MARGIN * (high - low)
    inside: Mask = (us > low + margin) & (us < high - margin)
    return inside


def _unclipped(placed: Placed, low: SweepEnd, high: SweepEnd, step_us: float) -> Placed:
    """Return the pulses without those that stand on a clipped end, which say nothing of the stick."""
    keep = np.ones(placed.count, bool)
    for end, near in ((low, placed.z < 0.05), (high, placed.z > 0.95)):
        if end.clipped:
            keep &= ~(near & (np.abs(placed.us - end.us) <= max(step_us / 2, 1e-6)))
    return placed.only(keep)


def _travel_end(end: SweepEnd, rest: AtRest | None) -> float:
    return end.volts if rest is None else rest.volts


def _curve(placed: Placed, low: SweepEnd, high: SweepEnd, *, strokes: int, step_us: float) -> Curve:
    """Return the curve at even positions; its two ends are those of the sweep, alike for both ways."""
    read = stroke_readings(placed, strokes=strokes)
    up, down, single = read.up_us, read.down_us, read.single_us
    ways = np.zeros(strokes)
    ways[placed.stroke] = placed.way
    for place_, end in ((0, low), (-1, high)):
        both = end.us if np.isfinite(end.us) else float(averaged(up[[place_]], down[[place_]])[0])
        up[place_] = down[place_] = both
        single[:, place_] = np.nan
    x = np.linspace(low.volts, high.volts, POSITIONS)
    return curve_of_readings(x, single, ways, up=up, down=down, share_us=read.share_us, step_us=step_us)
