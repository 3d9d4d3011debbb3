"""A linearity filled in part by part: what its curve, its fit and its details say."""

import math
from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from benchapp.records.method import NOMINAL_CENTRE_US
from benchapp.records.stream import frozen_array
from benchapp.records.sweep_findings import (
    SPEED_NOT_VARIED,
    TOO_FEW_STROKES,
    CurveLine,
    Linearity,
    ShareLine,
    StepLinearity,
    StrokeDots,
    StrokeFacts,
)
from benchapp.reduction.ground.output_pulses import OutputPulses, distinct_values, duration_u_us, step_codes
from benchapp.reduction.ground.uncertainty import Combined
from benchapp.reduction.sweep.closest_cubic import best_cubic
from benchapp.reduction.sweep.code_steps import steps_over_travel
from benchapp.reduction.sweep.linearity import (
    RESOLVED,
    Figures,
    Largest,
    is_smooth_curve,
    value_at,
)
from benchapp.reduction.sweep.linearity_budget import expanded
from benchapp.reduction.sweep.moving_sweep import MovingSweep
from benchapp.reduction.sweep.repeated_values import repeated_values
from benchapp.reduction.sweep.stick_details import Width, centre_flat, dead_band, refresh_ms, turns_before
from benchapp.reduction.sweep.sweep_fit import FEWEST_STROKES
from benchapp.reduction.sweep.transfer_curve import Curve
from benchapp.waveforms.stick_track import Track
from benchapp.waveforms.strokes import Moves

_CLOSE_UP_AT = 0.6
_CLOSE_UP = 0.015
_MOST_DOTS = 2000
_INNER_HALF = 0.45

Array = NDArray[np.float64]


def with_curve(linearity: Linearity, curve: Curve, found: Figures, budget: tuple[ShareLine, ...]) -> Linearity:
    """Return the linearity with the figures of its curve and their budget."""
    known = np.isfinite(curve.mean_us)
    x, y = curve.x[known], curve.mean_us[known]
    lines = _with_uncertainty(found.lines, expanded(budget))
    best = lines["independent"]
    filled = replace(
        linearity,
        positions=int(np.count_nonzero(known)),
        span_us=found.span_us,
        span_x=float(x[-1] - x[0]),
        low_x=float(x[0]),
        high_x=float(x[-1]),
        low_us=float(y[0]),
        high_us=float(y[-1]),
        rising_output=found.rising_output,
        lines=lines,
        least_squares=found.least_squares,
        monotonic=found.monotonic,
        bow_us=found.bow_us,
        bow_pct=_percent(found.bow_us, found.span_us),
        cubic_us=found.cubic_us,
        cubic_pct=_percent(found.cubic_us, found.span_us),
        smooth_curve=is_smooth_curve(best, found.cubic_us, positions=x.size),
        difference_u_us=curve.difference_u_us,
        uncertainty=budget,
        expanded_uncertainty_pct=best.expanded_u_pct,
        k=best.k,
        curve=found.shown,
    )
    return _with_repeats(_with_hysteresis(filled, found.hysteresis), curve, found)


def _with_uncertainty(lines: Mapping[str, CurveLine], combined: Mapping[str, Combined]) -> Mapping[str, CurveLine]:
    if not combined:
        return lines
    return MappingProxyType(
        {
            name: replace(line, expanded_u_pct=combined[name].expanded_ms, k=combined[name].k)
            for name, line in lines.items()
        }
    )


def with_centre(linearity: Linearity, curve: Curve, found: Figures, middle: float) -> Linearity:
    """Return the linearity with the output at mid-travel, and how its two halves compare."""
    centre = value_at(curve, middle)
    if centre is None or linearity.low_us is None or linearity.high_us is None:
        return linearity
    uneven_us = abs(linearity.high_us - centre) - abs(centre - linearity.low_us)
    return replace(
        linearity,
        centre_us=centre,
        centre_offset_us=centre - NOMINAL_CENTRE_US,
        symmetry_us=uneven_us,
        symmetry_pct=_percent(uneven_us, found.span_us),
    )


def with_lengths(linearity: Linearity, output: OutputPulses, *, end_u_us: float, place_u_us: float) -> Linearity:
    """Return the linearity with the expanded uncertainty of its lengths in µs, the clock's share in each.

    end_u_us : standard uncertainty of an end's pulse     place_u_us : of a pulse between, by where the stick stood
    """
    if linearity.low_us is None or linearity.high_us is None or linearity.span_us is None:
        return linearity
    scatter_us = 0.0 if linearity.difference_u_us is None else linearity.difference_u_us / 2
    centre = linearity.centre_us
    return replace(
        linearity,
        low_u_us=duration_u_us(output, linearity.low_us, end_u_us),
        high_u_us=duration_u_us(output, linearity.high_us, end_u_us),
        span_u_us=duration_u_us(output, linearity.span_us, end_u_us, end_u_us),
        centre_u_us=None if centre is None else duration_u_us(output, centre, scatter_us, place_u_us),
    )


def with_ends(linearity: Linearity, sweep: MovingSweep) -> Linearity:
    """Return the linearity with how its ends were read."""
    low, high = sweep.ends
    return replace(
        linearity,
        travel_x=sweep.travel_v[1] - sweep.travel_v[0],
        rested_low=low.rested,
        rested_high=high.rested,
        clipped_low=low.clipped,
        clipped_high=high.clipped,
        railed_low=low.railed,
        railed_high=high.railed,
    )


def with_fit(linearity: Linearity, sweep: MovingSweep, found: Figures) -> Linearity:
    """Return the linearity with delay and hysteresis as fitted, or why they are no facts: then the loop is none."""
    fit = sweep.fit
    told = replace(linearity, alone_ms=fit.alone_s * 1e3, speed_spread=fit.spread)
    if not fit.told_apart:
        return replace(
            told,
            told_apart_why_not=TOO_FEW_STROKES if fit.strokes < FEWEST_STROKES else SPEED_NOT_VARIED,
            hysteresis_us=None,
            hysteresis_pct=None,
            hysteresis_at_x=None,
            hysteresis_resolved=None,
        )
    # Lag lets a rising output lie low and a falling one high, whichever way round the channel is.
    height_us = fit.hysteresis_us if found.rising_output else -fit.hysteresis_us
    # A wrong lag shears every difference of up and down alike, by what the fitted hysteresis is unsure of.
    # With few degrees of freedom the standard uncertainty is larger than the deviation found (JCGM 101:2008, 6.4.9.4).
    common_us = fit.hysteresis_u_us * math.sqrt(max(fit.strokes - 2, 3) / (max(fit.strokes - 2, 3) - 2))
    unsure_us = None if told.difference_u_us is None else math.hypot(told.difference_u_us, common_us)
    size_us = told.hysteresis_us
    return replace(
        told,
        difference_u_us=unsure_us,
        hysteresis_resolved=None if unsure_us is None or size_us is None else size_us >= RESOLVED * unsure_us,
        delay_ms=fit.delay_s * 1e3,
        delay_u_ms=fit.delay_u_s * 1e3,
        fitted_hysteresis_us=height_us,
        fitted_hysteresis_u_us=fit.hysteresis_u_us,
        fitted_hysteresis_pct=_percent(height_us, found.span_us),
        fitted_hysteresis_u_pct=_percent(fit.hysteresis_u_us, found.span_us),
        fit_dof=fit.strokes - 2,
    )


def with_details(
    linearity: Linearity, output: OutputPulses, track: Track, moves: Moves, sweep: MovingSweep
) -> Linearity:
    """Return the linearity with its steps, its flat centre, its dead band, its refresh and its strokes."""
    counted = output.counted
    leading, raw = output.pulses.leading_ns[counted], output.pulses.durations_ns[counted]
    travel_v = sweep.travel_v[1] - sweep.travel_v[0]
    flat = None
    if not any(end.railed for end in sweep.ends):
        flat = centre_flat(
            sweep.loose,
            _stepped(sweep, _smooth_us(sweep), output.scale),
            centre_z=0.5,
            allowed_us=sweep.allowed_us,
            step_us=sweep.step_us,
            tread=sweep.tread,
        )
    band = _dead_band(output, track, moves, sweep) if sweep.fit.told_apart else None
    refreshed = refresh_ms(sweep.loose, leading, step_us=sweep.step_us, noise_us=sweep.noise_us)
    meant_us = np.interp(sweep.placed.z, np.linspace(0.0, 1.0, sweep.curve.mean_us.size), sweep.curve.mean_us)
    again = repeated_values(
        sweep.placed,
        np.nan_to_num(meant_us),
        step_us=sweep.tread * abs(linearity.span_us or 0.0),
        noise_us=sweep.noise_us,
    )
    steps = None
    if sweep.step is not None and output.frame is not None:
        steps = _steps(sweep, step_codes(raw[sweep.placed.number], sweep.step), output.frame.period_ns / 1e9)
    return replace(
        linearity,
        dead_band_x=None if band is None else band.share * travel_v,
        dead_band_pct_of_input=None if band is None else 100.0 * band.share,
        dead_band_u_pct_of_input=None if band is None else _percent(band.expanded_u, 1.0),
        dead_band_resolved=None if band is None else band.resolved,
        centre_flat_x=None if flat is None else flat.share * travel_v,
        centre_flat_pct_of_input=None if flat is None else 100.0 * flat.share,
        centre_flat_u_pct_of_input=None if flat is None else _percent(flat.expanded_u, 1.0),
        centre_flat_resolved=None if flat is None else flat.resolved,
        step_us=sweep.step_us or None,
        noise_us=sweep.noise_us,
        refresh_ms=None if refreshed is None else refreshed * output.scale,
        repeated_values=None if again is None else again.repeated,
        repeated_of=None if again is None else again.judged,
        steps=steps,
        values=distinct_values(output, counted, sweep.step),
        strokes=_strokes(moves, sweep),
        close_up=_close_up(sweep),
    )


def _steps(sweep: MovingSweep, codes: NDArray[np.int64], frame_s: float) -> StepLinearity | None:
    """Return how even the steps are over the inner nine tenths of the travel, which every stroke went through."""
    inner = np.abs(sweep.placed.z - 0.5) <= _INNER_HALF
    unsure = 2 + int(2 * abs(sweep.fit.hysteresis_us) / sweep.step_us)
    return steps_over_travel(codes[inner], np.abs(sweep.placed.rate[inner]) * frame_s, unsure=unsure)


def _dead_band(output: OutputPulses, track: Track, moves: Moves, sweep: MovingSweep) -> Width | None:
    """Return the dead band at the ends where the output followed the stick to the last."""
    counted = output.counted
    seen = turns_before(track, moves, output.pulses.leading_ns[counted], output.us[counted], sweep.delay_ns)
    stopped = {high: end.clipped or end.railed for high, end in zip((False, True), sweep.ends, strict=True)}
    turns = {number: turn for number, turn in seen.items() if not stopped[turn.high]}
    us, volts = _smooth_us(sweep), np.array([turn.volts for turn in turns.values()])
    smooth = None
    if us is not None:
        rested = zip(turns.items(), _smooth_at(sweep, volts), strict=True)
        smooth = us, {number: replace(turn, us=float(value)) for (number, turn), value in rested}
    return dead_band(
        sweep.loose,
        turns,
        smooth,
        low_v=sweep.travel_v[0],
        range_v=sweep.travel_v[1] - sweep.travel_v[0],
        allowed_us=sweep.allowed_us,
        tread=sweep.tread,
    )


def _smooth_us(sweep: MovingSweep) -> Array | None:
    """Return what the best cubic through the averaged curve says at each loose pulse, None without one."""
    low_v, high_v = sweep.travel_v
    found = _smooth_at(sweep, low_v + sweep.loose.z * (high_v - low_v))
    return found if found.size else None


def _stepped(sweep: MovingSweep, us: Array | None, scale: float) -> Array | None:
    """Return values put on the output's steps where it has any."""
    if us is None or sweep.step is None:
        return us
    offset_us = sweep.step.offset_ns * scale / 1e3
    return offset_us + np.round((us - offset_us) / sweep.step_us) * sweep.step_us


def _smooth_at(sweep: MovingSweep, volts: Array) -> Array:
    """Return what the best cubic through the averaged curve says at so many volts, empty without one."""
    known = np.isfinite(sweep.curve.mean_us)
    x = sweep.curve.x[known]
    found = best_cubic(x, sweep.curve.mean_us[known])
    return np.empty(0) if found is None else np.interp(volts, x, found[0])


def _with_hysteresis(linearity: Linearity, found: Largest | None) -> Linearity:
    if found is None:
        return linearity
    return replace(
        linearity,
        hysteresis_us=found.us,
        hysteresis_pct=_percent(found.us, linearity.span_us),
        hysteresis_at_x=found.at_x,
        hysteresis_resolved=found.resolved,
    )


def _with_repeats(linearity: Linearity, curve: Curve, found: Figures) -> Linearity:
    repeats, spread, percent = found.repeatability, found.spread, 100.0 / found.span_us
    if repeats is None or spread is None:
        return linearity
    low, high = repeats.ci95
    return replace(
        linearity,
        repeatability_us=repeats.us,
        repeatability_pct=percent * repeats.us,
        repeatability_ci95_us=repeats.ci95,
        repeatability_ci95_pct=(percent * low, percent * high),
        repeatability_share_us=repeats.share_us,
        repeatability_dof=repeats.dof,
        repeatability_resolved=repeats.resolved,
        spread_us=spread.us,
        spread_pct=percent * spread.us,
        spread_at_x=spread.at_x,
    )


def _strokes(moves: Moves, sweep: MovingSweep) -> tuple[StrokeFacts, ...]:
    facts = []
    for number, stroke in enumerate(moves.strokes):
        these = sweep.placed.stroke == number
        seconds = (stroke.to_ns - stroke.from_ns) / 1e9
        facts.append(
            StrokeFacts(
                from_ns=stroke.from_ns,
                to_ns=stroke.to_ns,
                from_x=stroke.from_v,
                to_x=stroke.to_v,
                rising=stroke.rising,
                whole=stroke.whole,
                speed=abs(stroke.to_v - stroke.from_v) / seconds if seconds > 0 else 0.0,
                pulses=int(np.count_nonzero(these)),
                off_us=_off_us(sweep, these, rising=stroke.rising),
            )
        )
    return tuple(facts)


def _off_us(sweep: MovingSweep, these: NDArray[np.bool_], *, rising: bool) -> float | None:
    """Return how far a stroke's pulses lie on the whole from their direction's curve, [µs]."""
    own = sweep.curve.up_us if rising else sweep.curve.down_us
    known = np.isfinite(own)
    if not these.any() or np.count_nonzero(known) < 2:
        return None
    grid = np.linspace(0.0, 1.0, own.size)
    return float(np.mean(sweep.placed.us[these] - np.interp(sweep.placed.z[these], grid[known], own[known])))


def _close_up(sweep: MovingSweep) -> StrokeDots:
    """Return the pulses of a short stretch above the middle, where the steps can be seen one by one."""
    placed, (low, high) = sweep.placed, sweep.ends
    near = np.flatnonzero(np.abs(placed.z - _CLOSE_UP_AT) <= _CLOSE_UP)[:_MOST_DOTS]
    return StrokeDots(
        x=frozen_array(low.volts + placed.z[near] * (high.volts - low.volts)),
        us=frozen_array(placed.us[near]),
        rising=frozen_array(placed.way[near] > 0),
    )


def _percent(value: float | None, of: float | None) -> float | None:
    return None if value is None or of is None else 100.0 * value / of
