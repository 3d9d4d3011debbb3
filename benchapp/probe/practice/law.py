"""The law a practice radio follows from a flip to the output pulse that shows it, in whole nanoseconds.

A flip is seen at the next scan, reaches the receiver a path delay later, and is in the next output frame that
begins then or afterwards.
"""

import math
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from benchapp.probe.practice.radios import Radio

Whole = TypeVar("Whole", int, NDArray[np.int64])

POINTS = (0.1, 0.5, 0.9)
"""The share of the step that makes the first, the mid and the near-final pulse."""


def next_beat_ns(at_ns: Whole, base_ns: Whole, period_ns: int) -> Whole:
    """Return the first beat of a clock at or after an instant. The clock beats at base + k·period, any whole k."""
    return base_ns - (base_ns - at_ns) // period_ns * period_ns


def seen_ns(flip_ns: Whole, scan_base_ns: Whole, radio: Radio) -> Whole:
    """Return the scan at which the transmitter sees a flip."""
    return next_beat_ns(flip_ns, scan_base_ns, radio.scan_ns)


def carried_ns(flip_ns: Whole, scan_base_ns: Whole, frame_base_ns: Whole, radio: Radio) -> Whole:
    """Return the beginning of the first output frame that carries a flip."""
    arrived_ns = seen_ns(flip_ns, scan_base_ns, radio) + radio.path_ns
    return next_beat_ns(arrived_ns, frame_base_ns, radio.frame_ns)


@dataclass(frozen=True, kw_only=True, slots=True)
class SwitchOn:
    """One switching-on of the transmitter: where its clocks stand until it is switched off.

    offset is the scan's lag behind the frame as a fraction of the frame.
    """

    number: int
    offset: float
    frame_base_ns: int
    scan_base_ns: int


def switch_on(radio: Radio, *, number: int, offset: float, frame_base_ns: int) -> SwitchOn:
    """Return a switch-on whose frames begin at frame_base_ns."""
    scan_base_ns = frame_base_ns + round(offset * radio.frame_ns)
    return SwitchOn(number=number, offset=offset, frame_base_ns=frame_base_ns, scan_base_ns=scan_base_ns)


def step_shares(first_step: float) -> tuple[float, ...]:
    """Return the share of the step made by each pulse from the carrying one on, ending with 1."""
    return (1.0,) if first_step >= 1.0 else (first_step, 1.0)


def glide_shares(ramp_ns: int, frame_ns: int, begun: float) -> tuple[float, ...]:
    """Return the shares of an answer that glides evenly for ramp_ns, ending with 1.

    begun : the fraction of a frame by which the glide is under way when the carrying pulse begins, 0 to 1
    """
    pulses = max(1, math.ceil(ramp_ns / frame_ns - begun) + 1)
    return tuple(min(1.0, (n + begun) * frame_ns / ramp_ns) for n in range(pulses))


def point_pulses(shares: tuple[float, ...]) -> tuple[int, int, int]:
    """Return which pulse, counted from the carrying one as 0, is the first at or past 10, 50 and 90 %."""
    first, mid, near_final = (next(n for n, share in enumerate(shares) if share >= point) for point in POINTS)
    return first, mid, near_final
