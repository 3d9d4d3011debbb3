"""What a sweep of the practice stick would show with nothing but the radio's own law: no steps, noise or delay.

The closed loop is followed at 20,001 places up and as many down. Definitions are those of the findings, written
anew here: percentages are of the output's span; independent and zero-based linearity are half the width of the band
that holds the half-way curve, terminal-based is its greatest deviation from the line through the ends.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from benchapp.probe.practice.hand import Motion
from benchapp.probe.practice.law import SwitchOn
from benchapp.probe.practice.options import BenchOptions
from benchapp.probe.practice.stick_law import TRAVEL_DEG, StickChain, StickLaw
from benchapp.probe.practice.stick_reader import long_run_age_ms

PLACES = 20_001
_ROUNDS = 200
_INVERSE_GOLDEN = (5**0.5 - 1) / 2

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Loop:
    """A closed loop: places from 0 to 1, and the pulse at each, rising and falling [µs]."""

    places: Array
    up_us: Array
    down_us: Array


def loop(law: StickLaw, places: Array) -> Loop:
    """Return what the output says at rising places on the way up and on the way down, once the loop has closed."""
    chain = StickChain(law)
    ups, downs = places.tolist(), places[::-1].tolist()
    for place in (*ups, *downs):
        chain.smooth_us(place)
    up_us = [chain.smooth_us(place) for place in ups]
    down_us = [chain.smooth_us(place) for place in downs]
    return Loop(places=places, up_us=np.array(up_us), down_us=np.array(down_us)[::-1])


def sweep_entry(options: BenchOptions, clock: SwitchOn, age_ms: float | None) -> dict[str, Any]:
    """Return everything the bench knows of a sweep of its stick; age_ms is the mean age its samples had."""
    law = options.stick_law
    whole = loop(law, np.linspace(0.0, 1.0, PLACES))
    kept = loop_between(whole, law.clip, 1.0 - law.clip)
    by_stops = options.motion is Motion.STOPS
    entry: dict[str, Any] = {
        "against": "angle" if by_stops else "stick-voltage",
        "step_us": law.step_us or None,
        "delay_ms": None if age_ms is None else round(age_ms, 6),
        "long_run_delay_ms": round(long_run_age_ms(options.radio, clock), 6),
        "expo_pct": round(law.expo * 100, 6),
        "bow_pct": round(law.bow * 100, 6),
        "dead_band_pct_of_input": round(_reversal(whole), 6),
        "centre_flat_pct_of_input": round(law.centre_flat * 100, 6),
        "output_play_pct": round(law.hysteresis * 100, 6),
        "fitted_hysteresis_pct": round(_usual_difference(kept), 6),
        "clipped_low": law.clip > 0,
        "clipped_high": law.clip > 0,
        **loop_figures(kept),
    }
    if by_stops:
        at_stops = loop(law, np.array(options.stops))
        degrees = TRAVEL_DEG * (2.0 * at_stops.places - 1.0)
        entry["stops_deg"] = [round(float(deg), 9) for deg in degrees]
        entry["stops"] = loop_figures(at_stops)
    return entry


def loop_between(whole: Loop, low: float, high: float) -> Loop:
    """Return the part of a loop between two places."""
    inside = (whole.places >= low - 1e-12) & (whole.places <= high + 1e-12)
    return Loop(places=whole.places[inside], up_us=whole.up_us[inside], down_us=whole.down_us[inside])


def loop_figures(loop: Loop) -> dict[str, float | bool]:
    """Return linearity and hysteresis of a loop whose ends are those of the sweep."""
    x, y = loop.places, (loop.up_us + loop.down_us) / 2
    span_us = float(y[-1] - y[0])
    percent = 100.0 / abs(span_us)
    terminal = y - (y[0] + span_us * (x - x[0]) / (x[-1] - x[0]))
    middle_us = float(np.interp((x[0] + x[-1]) / 2, x, y))
    steps = np.diff(y) * np.sign(span_us)
    return {
        "span_us": round(abs(span_us), 6),
        "low_end_us": round(float(y[0]), 6),
        "high_end_us": round(float(y[-1]), 6),
        "centre_offset_us": round(middle_us - 1500.0, 6),
        "independent_pct": round(percent * _least(lambda slope: _half_width(y - slope * x), span_us), 6),
        "terminal_pct": round(percent * float(np.max(np.abs(terminal))), 6),
        "zero_based_pct": round(
            percent * _least(lambda slope: float(np.max(np.abs(y - y[0] - slope * (x - x[0])))), span_us), 6
        ),
        "hysteresis_pct": round(percent * float(np.max(np.abs(loop.up_us - loop.down_us))), 6),
        "monotonic": bool(np.all(steps >= -1e-9)),
    }


def _half_width(off: Array) -> float:
    return float(np.ptp(off)) / 2


def _least(width: Callable[[float], float], span_us: float) -> float:
    """Return the least of a convex width over slopes about the span's own [µs a travel], by golden sections."""
    low, high = sorted((span_us * 0.3, span_us * 2.5))
    one, two = high - _INVERSE_GOLDEN * (high - low), low + _INVERSE_GOLDEN * (high - low)
    for _ in range(_ROUNDS):
        if width(one) <= width(two):
            high, two = two, one
            one = high - _INVERSE_GOLDEN * (high - low)
        else:
            low, one = one, two
            two = low + _INVERSE_GOLDEN * (high - low)
    return width((low + high) / 2)


def _usual_difference(loop: Loop) -> float:
    """Return the mean up-down difference away from the ends, where every play is taken up [% of the span]."""
    tenth = loop.places.size // 10
    span_us = abs(float(loop.up_us[-1] + loop.down_us[-1] - loop.up_us[0] - loop.down_us[0])) / 2
    return float(np.mean(np.abs(loop.up_us - loop.down_us)[tenth:-tenth])) / span_us * 100


def _reversal(whole: Loop) -> float:
    """Return how far the stick goes before the output moves after turning, both ends' mean [% of the travel]."""
    rising = np.abs(whole.up_us - whole.up_us[0]) > 1e-9
    falling = np.abs(whole.down_us - whole.down_us[-1]) > 1e-9
    low = whole.places[np.argmax(rising)] - whole.places[0]
    high = whole.places[-1] - whole.places[::-1][np.argmax(falling[::-1])]
    return float(low + high) / 2 * 100
