"""The reduction of a stick-sweep: from its evidence to its linearity."""

import math
from dataclasses import dataclass, replace

import numpy as np

from benchapp.records.codes import Flag, Note
from benchapp.records.errors import NotEnoughData, WrongInput
from benchapp.records.findings import RunFindings
from benchapp.records.method import FEWEST_CYCLES
from benchapp.records.run import LeadEvidence, Outcome, RunEvidence
from benchapp.records.sweep_findings import BY_STOPS, SPEED_NOT_VARIED, Linearity
from benchapp.reduction.ground.output_pulses import (
    OutputPulses,
    clock_notes,
    distinct_values,
    frame_of,
    line_notes,
    output_pulses,
    shared_flags,
)
from benchapp.reduction.sweep.linearity import figures
from benchapp.reduction.sweep.linearity_budget import (
    bend_line,
    level_lead_line,
    reading_lines,
    typed_positions_line,
    typed_share,
)
from benchapp.reduction.sweep.linearity_facts import (
    with_centre,
    with_curve,
    with_details,
    with_ends,
    with_fit,
    with_lengths,
)
from benchapp.reduction.sweep.moving_sweep import MovingSweep, measure_sweep
from benchapp.reduction.sweep.stops import FEWEST_POSITIONS, stop_curve, stop_readings
from benchapp.waveforms.stick_track import LONGEST_TRACK_NS, Track, stick_track
from benchapp.waveforms.strokes import find_moves
from benchapp.waveforms.volts import volts

MOST_STROKES = 10_000
"""Strokes that one run can have: one every four seconds for eleven hours. More is no stick."""
VOLTAGE, ANGLE = "stick-voltage", "angle"


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class _Told:
    """A linearity, with the notes that go with it."""

    linearity: Linearity
    notes: tuple[str, ...]


def reduce_stick_sweep(evidence: RunEvidence) -> RunFindings:
    """Return the findings of a stick-sweep run: by stops where stops were taken or asked for, else of the moving stick.

    Raises NotEnoughData where no lead is on the output, or none on the stick while there are no stops.
    """
    output = output_pulses(evidence)
    stick = evidence.leads.get("stick")
    by_stops = evidence.stops or evidence.settings.stops_deg
    told = _by_stops(evidence, output) if by_stops else _moving(evidence, output, stick)
    flags = shared_flags(evidence, output, others=() if stick is None else (stick,))
    if told.linearity.cycles < FEWEST_CYCLES:
        flags.insert(0, Flag.INSUFFICIENT)
    return RunFindings(
        run=evidence.run,
        test=evidence.test,
        control="stick",
        outcome=evidence.outcome,
        flags=tuple(flags),
        notes=(*line_notes(output), *told.notes, *(clock_notes(output) if told.linearity.span_us else ())),
        frame=frame_of(output),
        clock=output.clock,
        result=told.linearity,
    )


def _moving(evidence: RunEvidence, output: OutputPulses, stick: LeadEvidence | None) -> _Told:
    if stick is None or stick.levels is None:
        raise NotEnoughData(
            "a stick-sweep needs a lead in volts clipped to the stick, or positions typed at stops; "
            "this run has neither"
        )
    span_ns = evidence.stop_ns - evidence.start_ns
    if span_ns > LONGEST_TRACK_NS:
        raise WrongInput(
            f"run {evidence.run} lasts {span_ns / 3.6e12:,.0f} hours; a sweep lasts up to "
            f"{LONGEST_TRACK_NS / 3.6e12:.0f}. If it is a capture, is its time axis in another unit?"
        )
    track = _track(evidence, stick)
    nothing = Linearity(against=VOLTAGE, x_unit="V", cycles=0, positions=0)
    if track is None:
        return _Told(linearity=nothing, notes=(Note.NO_STICK_SAMPLES,))
    moves = find_moves(track, full_scale_v=stick.lead.full_scale_v)
    if len(moves.strokes) > MOST_STROKES:
        raise WrongInput(
            f"run {evidence.run} holds {len(moves.strokes):,} strokes of its stick; wanted up to {MOST_STROKES:,}. "
            "Clip that lead to a stick, or record shorter runs."
        )
    if not moves.strokes:
        return _Told(linearity=nothing, notes=(Note.STICK_NEVER_MOVED,))
    begun = Linearity(against=VOLTAGE, x_unit="V", cycles=moves.cycles, positions=0)
    sweep = measure_sweep(track, moves, output, tick_ns=output.lead.lead.resolution_ns)
    found = None if sweep is None else figures(sweep.curve, step_us=sweep.step_us or None)
    if sweep is None or found is None:
        # a sweep that was hardly begun says nothing of whether the output would have followed
        hardly = evidence.outcome is Outcome.CUT_SHORT and not moves.cycles
        return _Told(
            linearity=begun, notes=(Note.STOPPED_BEFORE_FIRST_SWEEP if hardly else Note.OUTPUT_DID_NOT_FOLLOW,)
        )
    low, high = sweep.ends
    bend = bend_line(sweep.curve, found.span_us)
    budget = (
        level_lead_line(
            lsb_v=_lsb_v(stick, track), nonlinearity_lsb=stick.lead.nonlinearity_lsb, span_v=high.volts - low.volts
        ),
        *reading_lines(sweep.curve, end_u_us=sweep.end_u_us, span_us=found.span_us, rested=low.rested and high.rested),
        *(() if bend is None else (bend,)),
    )
    linearity = with_ends(with_curve(begun, sweep.curve, found, budget), sweep)
    if not (low.railed or high.railed):  # beyond a rail nobody knows where the travel ends, nor its middle
        linearity = with_centre(linearity, sweep.curve, found, (sweep.travel_v[0] + sweep.travel_v[1]) / 2)
    linearity = with_details(with_fit(linearity, sweep, found), output, track, moves, sweep)
    place_u_us = budget[0].standard_pct / 100.0 * found.span_us
    linearity = with_lengths(linearity, output, end_u_us=sweep.end_u_us, place_u_us=place_u_us)
    return _Told(linearity=linearity, notes=_moving_notes(linearity, sweep))


def _track(evidence: RunEvidence, stick: LeadEvidence) -> Track | None:
    if stick.levels is None:
        return None
    times = stick.levels.times_ns
    inside = slice(*np.searchsorted(times, [evidence.start_ns, evidence.stop_ns]))
    holes = [*((gap.from_ns, gap.to_ns) for gap in stick.gaps), *((p.from_ns, p.to_ns) for p in evidence.pauses)]
    return stick_track(times[inside], volts(stick.levels, stick.lead)[inside], holes_ns=holes)


def _lsb_v(stick: LeadEvidence, track: Track) -> float:
    lead = stick.lead
    if lead.full_scale_v and lead.full_scale_counts:
        return lead.full_scale_v / lead.full_scale_counts
    return track.lsb_v


def _moving_notes(linearity: Linearity, sweep: MovingSweep) -> tuple[str, ...]:
    missing = int(np.count_nonzero(~np.isfinite(sweep.curve.mean_us)))
    told = {
        Note.NO_FULL_CYCLE: linearity.cycles == 0,
        Note.ONE_CYCLE_ONLY: linearity.cycles == 1,
        Note.REVERSED: linearity.rising_output is False,
        Note.STICK_LEAD_AT_RAIL_LOW: linearity.railed_low,
        Note.STICK_LEAD_AT_RAIL_HIGH: linearity.railed_high,
        Note.NO_REST_LOW: not (linearity.rested_low or linearity.railed_low),
        Note.NO_REST_HIGH: not (linearity.rested_high or linearity.railed_high),
        Note.SPEED_NOT_VARIED: linearity.told_apart_why_not == SPEED_NOT_VARIED,
        f"{Note.POSITIONS_MISSING}: {missing}": missing > 0,
        f"{Note.STRAYS}: {sweep.strays}": sweep.strays > 0,
    }
    return tuple(note for note, holds in told.items() if holds)


def _by_stops(evidence: RunEvidence, output: OutputPulses) -> _Told:
    leading = output.pulses.leading_ns
    readings = stop_readings(evidence.stops, leading, output.us)
    begun = Linearity(
        against=ANGLE,
        x_unit="°",
        cycles=readings.cycles,
        positions=0,
        told_apart_why_not=BY_STOPS,
        rested_low=True,
        rested_high=True,
        noise_us=readings.noise_us,
    )
    unread = len(evidence.stops) - readings.x.size
    notes = (f"{Note.STOPS_UNREAD}: {unread}",) if unread else ()
    if np.unique(readings.x).size < 2:
        return _Told(linearity=begun, notes=(*notes, Note.TOO_FEW_POSITIONS))
    curve = stop_curve(readings)
    found = figures(curve, step_us=None)
    if found is None:
        return _Told(linearity=begun, notes=(*notes, Note.OUTPUT_DID_NOT_FOLLOW))
    span_deg = float(np.ptp(curve.x))
    budget = (
        typed_positions_line(
            half_width_deg=evidence.settings.stop_half_width_deg, span_deg=span_deg, positions=curve.x.size
        ),
        *reading_lines(curve, end_u_us=None, span_us=found.span_us, rested=False),
    )
    during = np.zeros(leading.size, bool)
    for stop in evidence.stops:
        during[slice(*np.searchsorted(leading, [stop.from_ns, stop.to_ns]))] = True
    linearity = replace(
        with_curve(begun, curve, found, budget),
        travel_x=span_deg,
        values=distinct_values(output, during, None),
    )
    linearity = with_centre(linearity, curve, found, float(curve.x[0] + curve.x[-1]) / 2)
    place_u_us = found.span_us * typed_share(evidence.settings.stop_half_width_deg, span_deg)
    end_u_us = math.hypot(place_u_us, curve.u_us or 0.0)
    linearity = with_lengths(linearity, output, end_u_us=end_u_us, place_u_us=place_u_us)
    told = {
        Note.TOO_FEW_POSITIONS: linearity.positions < FEWEST_POSITIONS,
        Note.NO_FULL_CYCLE: linearity.cycles == 0,
        Note.ONE_CYCLE_ONLY: linearity.cycles == 1,
        Note.REVERSED: not found.rising_output,
    }
    return _Told(linearity=linearity, notes=(*notes, *(note for note, holds in told.items() if holds)))
