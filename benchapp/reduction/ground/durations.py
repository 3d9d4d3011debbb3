"""How well a duration is known: the clock's line, the stamps at both its ends, and how late they may be."""

import math

from benchapp.records.findings import ClockFit
from benchapp.records.leads import Lead
from benchapp.reduction.ground.uncertainty import one_step
from benchapp.waveforms.pulses import FrameFacts

COARSE_PPM = 1000.0
"""A clock that may be off by more than 0.1 % is said to be: it knows a pulse of 1.5 ms to no better than 1.5 µs."""

_NANO = 9
"""Decimals kept: a capture tells its clock's tolerance in decimals, and must give the same figures again."""


def width_u_us(width_us: float, lead: Lead, clock: ClockFit) -> float:
    """Return the standard uncertainty of one duration on a lead, [µs]: clock, two stamps, two latenesses."""
    u = math.hypot(width_us * clock.standard_ppm * 1e-6, _two_stamps_ms(lead) * 1e3)
    return round(u, _NANO)


def period_u_ms(frame: FrameFacts, lead: Lead, clock: ClockFit, pulses: int) -> float:
    """Return the standard uncertainty of the frame period, [ms]: clock, stamps, and its spread over so many pulses."""
    period_ms, sd_ms = frame.period_ns / 1e6, (frame.period_sd_ns or 0.0) / 1e6
    u = math.hypot(period_ms * clock.standard_ppm * 1e-6, _two_stamps_ms(lead), sd_ms / math.sqrt(max(pulses, 1)))
    return round(u, _NANO)


def clock_is_coarse(clock: ClockFit) -> bool:
    """Return whether twice the clock's standard uncertainty is above 0.1 %, as of a resonator without heartbeats."""
    return 2.0 * clock.standard_ppm > COARSE_PPM


def _two_stamps_ms(lead: Lead) -> float:
    return math.sqrt(2.0) * math.hypot(one_step(lead.resolution_ns), one_step(lead.lateness_typical_ns)) / 1e6
