"""The reduction of a hold-still run: how steady the output is while nothing is touched."""

import math
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from benchapp.records.codes import Flag, Note
from benchapp.records.findings import RunFindings
from benchapp.records.method import FEWEST_HELD_PULSES, SEEN_LATE_NS
from benchapp.records.run import LeadEvidence, RunEvidence
from benchapp.records.stream import frozen_array
from benchapp.records.sweep_findings import HeldPosition, Steadiness
from benchapp.reduction.ground.output_pulses import (
    OutputPulses,
    clock_notes,
    distinct_values,
    duration_u_us,
    frame_of,
    line_notes,
    output_pulses,
    shared_flags,
)
from benchapp.reduction.ground.summary import standard_deviation
from benchapp.reduction.hold.hold_drift import Drift, drift, pooled
from benchapp.reduction.hold.hold_spread import floor_us, spread_interval, told_from_probe
from benchapp.waveforms.pulses import missing_between
from benchapp.waveforms.stick_track import LONGEST_TRACK_NS, stick_track
from benchapp.waveforms.strokes import find_moves
from benchapp.waveforms.volts import volts

NEXT_POSITION = "next-position"
"""The reason of a pause in which the stick is taken to another position: it opens the next one."""
TOUCHED = "touched"
"""The reason of a pause in which the stick was not left alone."""

Array = NDArray[np.float64]
Span = tuple[int, int]


def reduce_hold_still(evidence: RunEvidence) -> RunFindings:
    """Return the findings of a hold-still run.

    Raises NotEnoughData where no lead is on the output.
    """
    output = output_pulses(evidence)
    stick = evidence.leads.get("stick")
    spans = held_spans(evidence)
    steadiness = _steadiness(evidence, output, spans, stick)
    flags = shared_flags(evidence, output, others=() if stick is None else (stick,))
    notes = [*line_notes(output), *(clock_notes(output) if steadiness.pulses else [])]
    if steadiness.pulses < FEWEST_HELD_PULSES:
        flags.insert(0, Flag.INSUFFICIENT)
    if steadiness.stick_moved:
        notes.append(Note.STICK_MOVED)
    return RunFindings(
        run=evidence.run,
        test=evidence.test,
        control="stick",
        outcome=evidence.outcome,
        flags=tuple(flags),
        notes=tuple(notes),
        frame=frame_of(output),
        clock=output.clock,
        result=steadiness,
    )


def held_spans(evidence: RunEvidence) -> list[list[Span]]:
    """Return, position by position, the spans that were held: the run without its pauses.

    Where a touch follows within 0.2 s, nothing was held before it: the stick was on its way already.
    (A bench's or a person's hand may still move as a run starts: one servo pulse of the old position was once called a
    wander of 400 µs with nothing touched.)
    """
    positions: list[list[Span]] = [[]]
    begin = evidence.start_ns
    for pause in sorted(evidence.pauses, key=lambda pause: pause.from_ns):
        shortest_ns = SEEN_LATE_NS if pause.reason == TOUCHED else 0
        if pause.from_ns - begin > shortest_ns:
            positions[-1].append((begin, pause.from_ns))
        if pause.reason == NEXT_POSITION and positions[-1]:
            positions.append([])
        begin = max(begin, pause.to_ns)
    if evidence.stop_ns > begin:
        positions[-1].append((begin, evidence.stop_ns))
    return [spans for spans in positions if spans]


def _steadiness(
    evidence: RunEvidence, output: OutputPulses, positions: list[list[Span]], stick: LeadEvidence | None
) -> Steadiness:
    numbers = [_held(output, spans) for spans in positions]
    filled = [(spans, held) for spans, held in zip(positions, numbers, strict=True) if held.size]
    everything = np.concatenate([held for _, held in filled]) if filled else np.empty(0, np.intp)
    held_s = sum(end - begin for spans in positions for begin, end in spans) / 1e9
    if not everything.size:
        return Steadiness(pulses=0, held_s=held_s, floor_us=floor_us(output.lead.lead))
    told = [_position(output, spans, held, stick) for spans, held in filled]
    parts, whole_drift = [part for part, _ in told], pooled([slope for _, slope in told])
    own = [output.us[held] - float(np.mean(output.us[held])) for _, held in filled]
    middle_us = float(np.median(output.us[everything]))
    sd_us, floor = _pooled_sd(parts), floor_us(output.lead.lead)
    interval, dof = spread_interval(sd_us, own)
    off = np.concatenate([output.us[held] - part.median_us for (_, held), part in zip(filled, parts, strict=True)])
    intervals = _intervals_ns(output, positions)
    period, missing = (None, 0) if output.frame is None else (output.frame.period_ns, 0)
    whole = np.empty(0)
    if period is not None and intervals.size:
        missing = missing_between(intervals, period)
        whole = intervals[np.rint(intervals / period) == 1]
    period_sd_ns = standard_deviation(whole)
    return Steadiness(
        pulses=int(everything.size),
        held_s=held_s,
        sd_us=sd_us,
        sd_ci95_us=interval,
        sd_dof=dof,
        floor_us=floor,
        told_from_probe=told_from_probe(sd_us, floor),
        peak_to_peak_us=max(part.peak_to_peak_us for part in parts),
        median_us=middle_us,
        median_u_us=duration_u_us(output, middle_us, _median_u_us(sd_us, everything.size)),
        frame_period_ms=float(np.mean(whole)) * output.scale / 1e6 if whole.size else None,
        frame_period_u_ms=_period_u_ms(output, whole, period_sd_ns),
        frame_sd_us=None if period_sd_ns is None else period_sd_ns * output.scale / 1e3,
        longest_gap_ms=float(intervals.max()) * output.scale / 1e6 if intervals.size else None,
        missing_pulses=missing,
        drift_us_per_min=None if whole_drift is None else whole_drift.slope,
        drift_u_us_per_min=None if whole_drift is None else whole_drift.u,
        drift_half_us_per_min=None if whole_drift is None else whole_drift.half_width,
        drift_resolved=None if whole_drift is None else whole_drift.resolved,
        positions=tuple(parts),
        values=distinct_values(output, everything, None),
        at_s=frozen_array((output.pulses.leading_ns[everything] - evidence.start_ns) / 1e9),
        off_us=frozen_array(off),
        stick_moved=_stick_moved(stick, positions),
    )


def _held(output: OutputPulses, spans: list[Span]) -> NDArray[np.intp]:
    """Return the numbers of the pulses that lie wholly inside spans."""
    pulses = output.pulses
    parts = [
        np.arange(
            np.searchsorted(pulses.leading_ns, begin, side="left"),
            np.searchsorted(pulses.trailing_ns, end, side="right"),
        )
        for begin, end in spans
    ]
    return np.concatenate(parts).astype(np.intp)


def _position(
    output: OutputPulses, spans: list[Span], held: NDArray[np.intp], stick: LeadEvidence | None
) -> tuple[HeldPosition, Drift | None]:
    """Return one position held, with its drift."""
    us = output.us[held]
    slope = drift(output.pulses.leading_ns[held], us)
    part = HeldPosition(
        from_ns=spans[0][0],
        to_ns=spans[-1][1],
        at_x=_stick_at(stick, spans),
        median_us=float(np.median(us)),
        sd_us=standard_deviation(us),
        peak_to_peak_us=float(np.ptp(us)),
        pulses=int(us.size),
        held_s=sum(end - begin for begin, end in spans) / 1e9,
        drift_us_per_min=None if slope is None else slope.slope,
        drift_u_us_per_min=None if slope is None else slope.u,
        drift_resolved=None if slope is None else slope.resolved,
    )
    return part, slope


def _median_u_us(sd_us: float | None, pulses: int) -> float:
    """Return the standard uncertainty of a median from the spread: √(π/2)·SD/√n of a normal law."""
    return math.sqrt(math.pi / 2 / pulses) * (sd_us or 0.0)


def _period_u_ms(output: OutputPulses, whole: NDArray[np.float64], sd_ns: float | None) -> float | None:
    """Return the expanded uncertainty of the mean frame period: its scatter, the stamps and the clock."""
    if not whole.size:
        return None
    mean_us = float(np.mean(whole)) * output.scale / 1e3
    return duration_u_us(output, mean_us, (sd_ns or 0.0) / 1e3 / math.sqrt(whole.size)) / 1e3


def _pooled_sd(parts: list[HeldPosition]) -> float | None:
    """Return the spread within positions, each with its own mean."""
    known = [(part.sd_us, part.pulses - 1) for part in parts if part.sd_us is not None]
    dof = sum(count for _, count in known)
    return math.sqrt(sum(sd * sd * count for sd, count in known) / dof) if dof else None


def _intervals_ns(output: OutputPulses, positions: list[list[Span]]) -> NDArray[np.int64]:
    """Return the times between the starts of pulses that follow each other in one held span, none across a gap."""
    parts = [np.empty(0, np.int64)]
    for span in (span for spans in positions for span in spans):
        held = _held(output, [span])
        parts.append(np.diff(output.pulses.leading_ns[held])[~output.pulses.broken[held][1:]])
    return np.concatenate(parts)


def _stick_at(stick: LeadEvidence | None, spans: list[Span]) -> float | None:
    """Return the median of the stick's volts over the spans, None without a lead on it."""
    if stick is None or stick.levels is None:
        return None
    values = volts(stick.levels, stick.lead)
    times = stick.levels.times_ns
    inside = [values[slice(*np.searchsorted(times, [begin, end]))] for begin, end in spans]
    together = np.concatenate(inside)
    return float(np.median(together)) if together.size else None


def _pieces(spans: list[Span]) -> list[Span]:
    """Return the spans, those too long for one track of the stick cut into pieces that are not."""
    return [
        (at, min(at + LONGEST_TRACK_NS, end))
        for begin, end in spans
        for at in range(begin, max(end, begin + 1), LONGEST_TRACK_NS)
    ]


def _stick_moved(stick: LeadEvidence | None, positions: list[list[Span]]) -> bool | None:
    """Return whether the stick moved while it was held, None without a lead on it."""
    if stick is None or stick.levels is None or not stick.levels.count:
        return None
    spans = [span for spans in positions for span in spans]
    holes = [*((end, begin) for (_, end), (begin, _) in pairwise(spans)), *((g.from_ns, g.to_ns) for g in stick.gaps)]
    keep = slice(*np.searchsorted(stick.levels.times_ns, [spans[0][0], spans[-1][1]]))
    values = volts(stick.levels, stick.lead)[keep]
    for begin, end in _pieces(spans):
        inside = slice(*np.searchsorted(stick.levels.times_ns[keep], [begin, end]))
        track = stick_track(stick.levels.times_ns[keep][inside], values[inside], holes_ns=holes)
        if track is not None and find_moves(track, full_scale_v=stick.lead.full_scale_v).strokes:
            return True
    return False
