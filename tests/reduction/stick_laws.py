"""Sticks whose laws are not the practice bench's, with the truth of each, to ask how often stated intervals hold."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchapp.reduction.sweep.closest_line import independent_line, terminal_line, zero_based_line
from tests.reduction.made_sticks import MadeStick

Array = NDArray[np.float64]
POSITIONS = 51
Shape = Callable[[Array], Array]


@dataclass
class LawStick(MadeStick):
    """A stick bent by any shape, read by a lead that is not quite straight, through a chain that may differ each time.

    shape       : what is added to the straight way, in shares of span, of u from 0 to 1
    bent_lsb    : the level lead's own non-linearity, its largest size; a curve drawn anew for each seed
    stroke_us   : SD of what each stroke lies off the others on the whole
    place_us    : SD of what each stroke lies off the others, drawn anew every 2 % of travel
    wander      : share of one pulse's noise that the next one keeps (AR(1))
    """

    shape: Shape | None = None
    bent_lsb: float = 0.0
    stroke_us: float = 0.0
    place_us: float = 0.0
    wander: float = 0.0

    def curve_us(self, u: Array) -> Array:
        plain = super().curve_us(u)
        return plain if self.shape is None else plain + (self.high_us - self.low_us) * self.shape(np.asarray(u))

    def asked_us(self, seconds: Array) -> Array:
        asked = super().asked_us(seconds)
        if not (self.stroke_us or self.place_us):
            return asked
        number = np.searchsorted([begin for begin, _ in self.strokes], seconds, side="right")
        whole = self._rng.normal(0, self.stroke_us, len(self.strokes) + 1)[number]
        cell = np.clip((self.place_at(seconds) * 50).astype(int), 0, 50)
        moving = (self.place_at(seconds) > 0.001) & (self.place_at(seconds) < 0.999)
        return asked + moving * (whole + self._rng.normal(0, self.place_us, (len(self.strokes) + 1, 51))[number, cell])

    def noise(self, size: int) -> Array:
        drawn = self._rng.normal(0, self.noise_us, size)
        if self.wander:
            for i in range(1, size):
                drawn[i] = self.wander * drawn[i - 1] + np.sqrt(1 - self.wander**2) * drawn[i]
        return drawn

    def samples(self) -> tuple[NDArray[np.int64], Array]:
        times, counts = super().samples()
        if self.bent_lsb:
            z, rng = counts / (2**self.bits - 1), np.random.default_rng(self.seed + 77_000)
            bend = sum(rng.normal(0, 1 / k) * np.sin(np.pi * k * z) for k in range(1, 7))
            grid = np.linspace(0, 1, 401)
            size = np.max(np.abs(sum(rng.normal(0, 1 / k) * np.sin(np.pi * k * grid) for k in range(1, 7))))
            counts = counts + self.bent_lsb * rng.uniform(0, 1) * bend / max(size, np.max(np.abs(bend)))
        return times, counts

    def truth_pct(self) -> dict[str, float]:
        """Return the three lines' deviations of the law itself at 51 even positions, in % of its span."""
        u, half = np.linspace(0, 1, POSITIONS), self.play_pct / 200
        y = (self.curve_us(np.clip(u - half, 0, 1)) + self.curve_us(np.clip(u + half, 0, 1))) / 2
        y[0], y[-1] = self.curve_us(np.array([half, 1 - half]))
        percent = 100 / abs(y[-1] - y[0])
        lines = {"independent": independent_line, "terminal": terminal_line, "zero_based": zero_based_line}
        return {name: percent * abs(line(u, y).deviation) for name, line in lines.items()}


def sine(height: float, waves: float) -> Shape:
    return lambda u: height * np.sin(2 * np.pi * waves * u)


def knee(height: float, at: float) -> Shape:
    """Two straight stretches that meet at one place, as a curve with points set by hand has."""
    return lambda u: height * np.minimum(u / at, (1 - u) / (1 - at))


def rate_curve(bend: float) -> Shape:
    """An S that no cubic is: hyperbolic tangent over the whole travel, less the straight way."""
    return lambda u: (np.tanh(bend * (2 * u - 1)) / np.tanh(bend) + 1) / 2 - u


PERFECT: Mapping[str, Mapping[str, object]] = {
    "quiet": {"noise_us": 0.06},
    "10 bits, none of its own noise": {"noise_us": 0.06, "lead_noise_lsb": 0.02},
    "noisy": {"noise_us": 0.6, "step_us": 1.0},
    "no steps, 16 bits": {"noise_us": 0.2, "step_us": 0.0, "bits": 16},
    "1 us steps at 22 ms": {"noise_us": 0.15, "step_us": 1.0, "frame_ms": 22.0, "stroke_s": 5.0},
    "2.5 us steps at 14 ms": {"noise_us": 0.1, "step_us": 2.5, "frame_ms": 14.0},
    "4 us steps at 7 ms": {"noise_us": 0.1, "step_us": 4.0, "frame_ms": 7.0},
    "every value twice": {"noise_us": 0.06, "step_us": 0.8, "frame_ms": 5.5, "repeat": 2},
    "quick by hand": {"noise_us": 0.1, "stroke_s": 2.2, "profile": "eased", "spread": 0.35},
    "unsteady hand, five cycles": {"noise_us": 0.2, "profile": "wobbly", "cycles": 5, "rate_hz": 250.0},
    "wandering noise": {"noise_us": 0.4, "wander": 0.7, "step_us": 0.0},
    "reversed, short span": {"noise_us": 0.1, "low_us": 1700.0, "high_us": 1300.0, "high_v": 2.0},
    "coarse stamps": {"noise_us": 0.1, "tick_ns": 500.0, "frame_ms": 20.0},
}
"""Sticks with nothing wrong: straight, without hysteresis, play or a flat, and alike at every stroke."""

FAULTY: Mapping[str, Mapping[str, object]] = {
    "lead bent by half a step": {"noise_us": 0.06, "bent_lsb": 0.5},
    "lead bent, curved": {"noise_us": 0.1, "bent_lsb": 0.5, "expo": 0.2},
    "expo 30": {"noise_us": 0.1, "expo": 0.3},
    "expo 60 at 22 ms": {"noise_us": 0.2, "expo": 0.6, "frame_ms": 22.0, "stroke_s": 5.0},
    "bowed": {"noise_us": 0.3, "bow": 0.02},
    "half a wave, little": {"noise_us": 0.2, "shape": sine(0.0006, 1.0)},
    "ripple": {"noise_us": 0.1, "shape": sine(0.003, 3.0)},
    "knee": {"noise_us": 0.1, "shape": knee(0.01, 0.37), "step_us": 1.0},
    "rate curve": {"noise_us": 0.1, "shape": rate_curve(1.2)},
    "hysteresis": {"noise_us": 0.1, "hysteresis_us": 3.0},
    "play": {"noise_us": 0.1, "play_pct": 0.7},
    "play, curved, 4 us steps": {"noise_us": 0.1, "play_pct": 0.7, "expo": 0.2, "step_us": 4.0},
    "strokes differ": {"noise_us": 0.1, "stroke_us": 0.8},
    "places differ": {"noise_us": 0.1, "place_us": 0.8},
    "one speed only": {"noise_us": 0.1, "spread": 0.02, "hysteresis_us": 2.0, "bow": 0.004},
}
"""Sticks with something wrong."""
