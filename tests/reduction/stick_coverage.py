"""How often what a sweep or a hold states is right, by sticks and outputs that are not the practice bench's.

`python -m tests.reduction.stick_coverage 400` prints the long form: so many sweeps and holds of each law.
"""

import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from benchapp.records.run import LeadEvidence, RunEvidence
from benchapp.records.sweep_findings import LINES
from benchapp.reduction.recipes import reduce_run
from tests.reduction.made_runs import Made, lead, pulse_edges
from tests.reduction.stick_laws import FAULTY, PERFECT, LawStick

Array = NDArray[np.float64]


@dataclass
class SweepRates:
    """Shares of sweeps: in which each line's interval held the law's own figure, and in which something was claimed."""

    sweeps: int
    held: dict[str, float] = field(default_factory=dict)
    u_pct: dict[str, float] = field(default_factory=dict)
    claimed: dict[str, float] = field(default_factory=dict)


CLAIMS = ("hysteresis_resolved", "repeatability_resolved", "centre_flat_resolved", "dead_band_resolved", "smooth_curve")


def sweep_rates(law: Mapping[str, object], sweeps: int, *, seed: int = 1000) -> SweepRates:
    """Return the rates of a law over so many sweeps."""
    rates = SweepRates(sweeps=sweeps)
    held: dict[str, list[bool]] = {name: [] for name in LINES}
    u_pct: dict[str, list[float]] = {name: [] for name in LINES}
    claimed: dict[str, list[bool]] = {name: [] for name in CLAIMS}
    for number in range(sweeps):
        made = LawStick(seed=seed + number, **law)  # type: ignore[arg-type]
        found, truth = reduce_run(made.run()).result, made.truth_pct()
        for name in LINES:
            line = found.lines[name]
            held[name].append(abs(line.deviation_pct - truth[name]) <= line.expanded_u_pct)
            u_pct[name].append(line.expanded_u_pct)
        for name in CLAIMS:
            claimed[name].append(bool(getattr(found, name)))
    rates.held = {name: float(np.mean(values)) for name, values in held.items()}
    rates.u_pct = {name: float(np.median(values)) for name, values in u_pct.items()}
    rates.claimed = {name: float(np.mean(values)) for name, values in claimed.items()}
    return rates


# -- holds ----------------------------------------------------------------------------------------------------------


def held_run(us: Array, *, frame_ms: float = 20.0, resolution_ns: float = 62.5) -> RunEvidence:
    """Return the evidence of a hold whose pulses last so many µs."""
    leading = (np.arange(us.size) * frame_ms * 1e6).astype(np.int64) + 1_000_000
    ticks = np.rint(us * 1e3 / resolution_ns) * resolution_ns
    edges = pulse_edges(1, leading, np.rint(ticks).astype(np.int64))
    output = LeadEvidence(lead=lead(1, "output", resolution_ns=resolution_ns), role="output", edges=edges)
    stop_ns = int(leading[-1]) + 20_000_000
    return replace(Made(flips_s=(1.0,)).run(), test="hold-still", stop_ns=stop_ns, leads={"output": output})


def wandering(rng: np.random.Generator, count: int, *, sd: float, memory: float) -> Array:
    """Return noise of which each pulse keeps a share of the last one's (AR(1))."""
    drawn = rng.normal(0, sd, count)
    for i in range(1, count):
        drawn[i] = memory * drawn[i - 1] + np.sqrt(1 - memory**2) * drawn[i]
    return drawn


def between_walls(rng: np.random.Generator, count: int, *, step: float) -> Array:
    """Return a random walk that walls at ± 1 µs turn back, with a little noise: it wanders far and trends nowhere."""
    # A free walk folded between the walls is the walk they turn back.
    free = rng.uniform(-1, 1) + np.cumsum(rng.normal(0, step, count))
    return np.abs((free + 1.0) % 4.0 - 2.0) - 1.0 + rng.normal(0, 0.2, count)


@dataclass(frozen=True)
class HoldLaw:
    """A law of a held output without a trend; sd_us is its true spread, None where that is not asked."""

    draw: Callable[[np.random.Generator, int], Array]
    sd_us: float | None


HOLDS: Mapping[str, HoldLaw] = {
    "noise": HoldLaw(draw=lambda rng, n: rng.normal(0, 0.5, n), sd_us=0.5),
    "half remembered": HoldLaw(draw=lambda rng, n: wandering(rng, n, sd=0.5, memory=0.5), sd_us=0.5),
    "slow wander": HoldLaw(draw=lambda rng, n: wandering(rng, n, sd=0.5, memory=0.95), sd_us=0.5),
    "slower wander": HoldLaw(draw=lambda rng, n: wandering(rng, n, sd=0.5, memory=0.99), sd_us=None),
    "walk between walls": HoldLaw(draw=lambda rng, n: between_walls(rng, n, step=0.1), sd_us=None),
    "slow walk between walls": HoldLaw(draw=lambda rng, n: between_walls(rng, n, step=0.05), sd_us=None),
    "whole steps": HoldLaw(draw=lambda rng, n: np.round(rng.normal(0, 0.4, n)), sd_us=0.4596),
    "now and then a step": HoldLaw(draw=lambda rng, n: (rng.random(n) < 0.1) * 1.0, sd_us=0.3),
    "far outliers": HoldLaw(draw=lambda rng, n: rng.laplace(0, 0.5, n), sd_us=0.5 * 2**0.5),
}
"""The spread of whole steps: Σ k² (Φ((k + ½)/0.4) - Φ((k - ½)/0.4)), its root."""


@dataclass(frozen=True)
class HoldRates:
    """Shares of holds: called drifting, and in which the spread's interval held the law's (None: not asked)."""

    drifting: float
    held: float | None


def hold_rates(law: HoldLaw, holds: int, *, pulses: int = 1500, seed: int = 5) -> HoldRates:
    """Return the rates of a law over so many holds."""
    rng, drifting, held = np.random.default_rng(seed), [], []
    for _ in range(holds):
        found = reduce_run(held_run(1500.0 + law.draw(rng, pulses))).result
        drifting.append(bool(found.drift_resolved))
        low, high = found.sd_ci95_us
        held.append(law.sd_us is not None and low <= law.sd_us <= high)
    return HoldRates(drifting=float(np.mean(drifting)), held=None if law.sd_us is None else float(np.mean(held)))


def _print_long(count: int) -> None:
    for law, told in {**PERFECT, **FAULTY}.items():
        rates = sweep_rates(told, count)
        numbers = [f"{rates.held[name]:.3f} (U {rates.u_pct[name]:.4f} %)" for name in LINES]
        print(f"{law:32s}", *numbers, {name: round(share, 3) for name, share in rates.claimed.items()}, flush=True)
    for law, one in HOLDS.items():
        print(f"{law:32s}", hold_rates(one, count), flush=True)


if __name__ == "__main__":
    _print_long(int(sys.argv[1]) if len(sys.argv) > 1 else 400)
