"""The output's pulses of a stick test: inside the run, outside its pauses, with the frame they keep."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from benchapp.records.codes import Flag, Note
from benchapp.records.errors import NotEnoughData
from benchapp.records.findings import ClockFit, Frame
from benchapp.records.run import LeadEvidence, Origin, RunEvidence
from benchapp.records.stream import frozen_array
from benchapp.records.sweep_findings import DistinctValues
from benchapp.reduction.ground.clock import CAPTURE_TOLERANCE_PPM, fit_clock
from benchapp.reduction.ground.durations import clock_is_coarse, period_u_ms, width_u_us
from benchapp.reduction.ground.probe_gaps import missed_by_probe
from benchapp.reduction.ground.resolution import OutputStep
from benchapp.waveforms.line_kind import LineKind, line_kind
from benchapp.waveforms.pulses import FrameFacts, Pulses, frame_facts, servo_pulses, within

Array = NDArray[np.float64]
_NANO = 9
"""Decimals kept: a capture tells its clock's tolerance in decimals, and must give the same figures again."""


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class OutputPulses:
    """What the output did. us: durations [µs] with the clock correction, scale; counted: bool (n,), outside pauses."""

    lead: LeadEvidence
    pulses: Pulses
    counted: NDArray[np.bool_]
    us: Array
    frame: FrameFacts | None
    clock: ClockFit
    scale: float
    kind: LineKind


def output_pulses(evidence: RunEvidence) -> OutputPulses:
    """Return the pulses of a run's output. Raises NotEnoughData where the run has no on-off lead on it."""
    output = evidence.leads.get("output")
    if output is None or output.edges is None:
        raise NotEnoughData(f"a {evidence.test} needs an on-off lead clipped to the output, and this run has none")
    everything = servo_pulses(output.edges, output.gaps, polarity=output.polarity)
    pulses = within(everything, evidence.start_ns, evidence.stop_ns)
    tolerance = evidence.clock_tolerance_ppm
    if tolerance is None and evidence.origin is Origin.CAPTURE:
        tolerance = CAPTURE_TOLERANCE_PPM
    clock = replace(fit_clock(evidence.clock, tolerance), kind=evidence.clock_kind)
    scale = 1 / (1 + (clock.error_ppm or 0.0) * 1e-6) if clock.applied else 1.0
    counted = np.ones(pulses.count, bool)
    for pause in evidence.pauses:
        counted &= (pulses.trailing_ns < pause.from_ns) | (pulses.leading_ns > pause.to_ns)
    return OutputPulses(
        lead=output,
        pulses=pulses,
        counted=counted,
        us=pulses.durations_ns.astype(np.float64) * (scale / 1e3),
        frame=frame_facts(pulses),
        clock=clock,
        scale=scale,
        kind=line_kind(output.edges, output.gaps),
    )


def frame_of(output: OutputPulses) -> Frame:
    """Return the output's pulse train over the run."""
    frame, us, lead = output.frame, output.us, output.lead.lead
    sd = None if frame is None or frame.period_sd_ns is None else frame.period_sd_ns * output.scale / 1e3
    return Frame(
        period_ms=None if frame is None else frame.period_ns * output.scale / 1e6,
        period_sd_us=sd,
        missing_pulses=0 if frame is None else frame.missing,
        glitches=int(output.pulses.glitches_ns.size),
        pulses=output.pulses.count,
        polarity="high" if output.pulses.level else "low",
        short_us=float(np.percentile(us, 2)) if us.size else None,
        long_us=float(np.percentile(us, 98)) if us.size else None,
        period_u_ms=None if frame is None else 2.0 * period_u_ms(frame, lead, output.clock, output.pulses.count),
        width_u_us=2.0 * width_u_us(float(us.max()), lead, output.clock) if us.size else None,
    )


def shared_flags(evidence: RunEvidence, output: OutputPulses, *, others: Sequence[LeadEvidence] = ()) -> list[str]:
    """Return the flags that any stick test may carry, for the leads it read."""
    gaps = [gap for lead in (output.lead, *others) for gap in lead.gaps]
    coarse = output.pulses.coarse_ns
    told = {
        Flag.POLARITY_GUESSED: output.pulses.guessed and output.pulses.count > 0,
        Flag.COARSE_STAMPS: bool(np.any((coarse >= evidence.start_ns) & (coarse <= evidence.stop_ns))),
        Flag.PROBE_GAP: missed_by_probe(gaps, evidence.start_ns, evidence.stop_ns),
        Flag.DAMAGED_EVIDENCE: evidence.damaged,
        Flag.PRACTICE: evidence.origin is Origin.PRACTICE,
    }
    return [flag for flag, holds in told.items() if holds]


def line_notes(output: OutputPulses) -> list[str]:
    """Return what is to be said of an output that carries no servo pulses."""
    told = {LineKind.SERIAL: Note.SERIAL_OUTPUT, LineKind.TRAIN: Note.TRAIN_OUTPUT}.get(output.kind)
    return [] if told is None else [told]


def clock_notes(output: OutputPulses) -> list[str]:
    """Return what is to be said of lengths in µs where the clock is not well known."""
    return [Note.COARSE_CLOCK] if clock_is_coarse(output.clock) else []


def duration_u_us(output: OutputPulses, us: float, *others_us: float) -> float:
    """Return the expanded uncertainty (k = 2) of a duration: its own standard ones, the stamps' and the clock's."""
    u = 2.0 * math.hypot(width_u_us(us, output.lead.lead, output.clock), *others_us)
    return round(u, _NANO)


def distinct_values(output: OutputPulses, these: NDArray[Any], step: OutputStep | None) -> DistinctValues:
    """Return the values that these pulses (a mask or their numbers) took, and how often each.

    Whole steps where the output has steps, else every whole stamp interval: stamps are kept in whole nanoseconds, so
    that one duration in ticks may show as two that differ by 1 ns.
    """
    durations_ns, tick_ns = output.pulses.durations_ns[these], output.lead.lead.resolution_ns
    if step is None:
        step = OutputStep(step_ns=max(tick_ns, 1.0), offset_ns=0.0, strength=0.0)
    codes = step_codes(durations_ns, step)
    values, counts = np.unique(codes, return_counts=True)
    us = (step.offset_ns + values * step.step_ns) * (output.scale / 1e3)
    return DistinctValues(us=frozen_array(us.astype(np.float64)), counts=frozen_array(counts.astype(np.int64)))


def step_codes(durations_ns: NDArray[np.int64], step: OutputStep) -> NDArray[np.int64]:
    """Return the step each duration lies on, int64 (n,)."""
    codes: NDArray[np.int64] = np.floor((durations_ns - step.offset_ns) / step.step_ns + 0.5).astype(np.int64)
    return codes
