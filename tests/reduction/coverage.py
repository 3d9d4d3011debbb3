"""How often what is stated as 95 % holds, for sets that are not the practice bench's.

`python -m tests.reduction.coverage [RUNS]` prints the long table: every set, every length, every figure. The suite runs
a short form of it.
Coverage is shown with sets made from clocks alone (`chains`), never with the practice bench's law: a law that checked
itself would agree with itself.
"""

import math
import sys
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from benchapp.procedures.flips.stop_rules import FlipsSoFar, TargetRule
from benchapp.records.findings import ClockFit, Trial
from benchapp.records.leads import Lead, LeadKind
from benchapp.records.run import PickUp
from benchapp.reduction.flips.budget import any_switch_on_lines, budget
from benchapp.reduction.flips.latency import estimate_headline, phase_facts, summaries
from benchapp.reduction.flips.stragglers import split_stragglers, straggler_facts
from benchapp.reduction.flips.trend import trend_of
from benchapp.reduction.ground.uncertainty import combine
from tests.reduction.chains import Chain, Clocks, Made, any_truth_ms, flip, switch_on, truth_ms
from tests.reduction.made_trials import trials_of

PERFECT = Lead(index=0, label="a lead without fault", kind=LeadKind.EDGE, role="output", resolution_ns=1.0)
RIGHT_CLOCK = ClockFit(error_ppm=None, standard_ppm=0.0, applied=False)

ONE = Chain(frame_ms=22.0)
FREE = Chain(frame_ms=9.0, scan_ms=4.0037)
SLOW_FREE = Chain(frame_ms=22.5, scan_ms=7.0 * math.sqrt(2))
IN_STEP = Chain(frame_ms=22.5, scan_ms=22.5)
TWICE = Chain(frame_ms=11.0, scan_ms=22.0)
GOLDEN_TWO_FIFTHS = Chain(frame_ms=22.5, scan_ms=9.0, golden=True)
SLIPPING = Chain(frame_ms=22.0, scan_ms=22.0, ppm=20.0)

SETS: dict[str, Chain] = {
    "one sampler, 22 ms": ONE,
    "two free, 4/9 ms": FREE,
    "two free, 9.9/22.5 ms": SLOW_FREE,
    "in step, 22.5/22.5": IN_STEP,
    "22 scan, 11 frame": TWICE,
    "9 scan, 22.5 frame, golden": GOLDEN_TWO_FIFTHS,
    "22/22 and 20 ppm": SLIPPING,
    "one, 5 % lost": replace(ONE, lost=0.05),
    "in step, 10 % lost": replace(IN_STEP, lost=0.1),
    "two free, 20 % lost": replace(FREE, lost=0.2),
    "22 scan, 11 frame, 20 % lost": replace(TWICE, lost=0.2),
    "two free, 1 % stragglers": replace(FREE, straggling=0.01),
    "in step, 3 % stragglers": replace(IN_STEP, straggling=0.03),
    "22 scan, 11 frame, 3 % stragglers": replace(TWICE, straggling=0.03),
    "two free, drift of 3 ms": replace(FREE, drift_ms=3.0),
    "in step, drift of 5 ms": replace(IN_STEP, drift_ms=5.0),
    "one, 2 % of pulses missing": replace(ONE, dropped=0.02),
    "in step, 10 % of pulses missing": replace(IN_STEP, dropped=0.1),
}
LENGTHS = (20, 60, 200)
PLANS = ((1, 60), (2, 30), (3, 20), (5, 12), (10, 6))


@dataclass(frozen=True, kw_only=True)
class Figures:
    """What one run states: value, half-width of the flips alone, and U of both figures; stragglers' share."""

    value_ms: float
    half_ms: float
    u_ms: float
    any_u_ms: float
    balanced: bool
    late: int
    share: tuple[float | None, float | None]
    trend: bool


def conclude(trials: list[Trial], chain: Chain, *, stopped_itself: bool = False) -> Figures:
    """Return what the reduction states of these trials, leads and clock being without fault.

    `test_chain_coverage` holds it against the whole reduction of a run.
    """
    split = split_stragglers(trials, chain.frame_ms)
    facts = phase_facts(split.usual, flips=len(trials))
    estimate = estimate_headline(
        split.usual,
        frame_ms=chain.frame_ms,
        misses_pulses=any(trial.missing_pulses for trial in trials),
        by_gap=facts.locked_by_gap,
        in_step=bool(facts.keeps_step),
        stopped_itself=stopped_itself,
    )
    trend = trend_of(split.usual)
    lines = budget(
        estimate,
        control=PERFECT,
        output=PERFECT,
        coarse=False,
        clock=RIGHT_CLOCK,
        pick_up=PickUp.CONTACT,
        frame_ms=chain.frame_ms,
        locked=facts.locked,
        trend=trend,
    )
    late = straggler_facts(split)
    return Figures(
        value_ms=estimate.value_ms or math.nan,
        half_ms=estimate.half_width_ms or math.nan,
        u_ms=combine(lines).expanded_ms,
        any_u_ms=combine(any_switch_on_lines(lines, estimate, chain.frame_ms)).expanded_ms,
        balanced=estimate.estimator == "balanced-mean",
        late=late.flips,
        share=late.share_ci95,
        trend=trend is not None and trend.significant,
    )


def made_trials(made: Made, run: int, *, blocks: int = 1, pause_ms: float = 0.0) -> list[Trial]:
    """Return one run's trials; of several switch-ons the rows from `run` on, one after the other."""
    rows = slice(run, run + blocks)
    starts = np.concatenate([[0.0], np.cumsum(made.length_ms[rows, 0] + pause_ms)[:-1]])
    return trials_of(
        made.latency_ms[rows].ravel(),
        phases=made.phase[rows].ravel(),
        times_s=((made.at_ms[rows] + starts[:, np.newaxis]) / 1e3).ravel(),
        blocks=np.repeat(np.arange(blocks), made.at_ms.shape[1]),
        frames=made.frames[rows].ravel(),
        missing=made.missing[rows].ravel(),
    )


@dataclass(frozen=True, kw_only=True)
class Held:
    """How often each stated interval held, and the mean U; nan where it was not looked at."""

    flips_alone: float
    this: float
    any_one: float
    share: float
    u_ms: float
    any_u_ms: float
    trend: float


def one_switch_on(chain: Chain, flips: int, runs: int, *, seed: int = 0) -> Held:
    """Return what holds of runs in one switch-on, each against its own offset's long run and against all offsets."""
    rng = np.random.default_rng(seed)
    clocks = switch_on(chain, runs, rng)
    made = flip(chain, clocks, flips, rng)
    found = [conclude(made_trials(made, run), chain) for run in range(runs)]
    return _held(found, truth_ms(chain, clocks, made), any_truth_ms(chain, rng, flips=flips), chain)


def several_switch_ons(chain: Chain, blocks: int, flips: int, runs: int, *, seed: int = 0) -> Held:
    """Return what holds of runs over several switch-ons, all of it against the mean over all offsets."""
    rng = np.random.default_rng(seed)
    clocks = switch_on(chain, runs * blocks, rng)
    made = flip(chain, clocks, flips, rng)
    found = [conclude(made_trials(made, run * blocks, blocks=blocks, pause_ms=5e3), chain) for run in range(runs)]
    truth = any_truth_ms(chain, rng, flips=flips)
    return _held(found, np.full(runs, truth), truth, chain)


def stopping(chain: Chain, target_ms: float, runs: int, *, most: int = 200, seed: int = 0) -> Held:
    """Return what holds of runs that stop themselves at a target, by the rule of the run page."""
    rng = np.random.default_rng(seed)
    clocks = switch_on(chain, runs, rng)
    made = flip(chain, clocks, most, rng)
    kept = [_stopped(made_trials(made, run), chain, target_ms) for run in range(runs)]
    truths = np.empty(runs)
    for length in {length for length, _ in kept}:
        rows = [run for run, (own, _) in enumerate(kept) if own == length]
        truths[rows] = truth_ms(chain, _rows(clocks, rows), _cut(made, rows, length))
    return _held([figures for _, figures in kept], truths, math.nan, chain)


def _stopped(trials: list[Trial], chain: Chain, target_ms: float) -> tuple[int, Figures]:
    rule = TargetRule(target_ms)
    for n in range(30, len(trials) + 1, 10):
        so_far = conclude(trials[:n], chain)
        if rule.met(FlipsSoFar(flips=n, answered=n, half_width_ms=so_far.u_ms, balanced=so_far.balanced)):
            return n, conclude(trials[:n], chain, stopped_itself=True)
    return len(trials), conclude(trials, chain)


def _rows(clocks: Clocks, rows: list[int]) -> Clocks:
    return Clocks(scan_ms=clocks.scan_ms[rows], frame_ms=clocks.frame_ms[rows])


def _cut(made: Made, rows: list[int], flips: int) -> Made:
    ended = made.at_ms[rows, flips - 1][:, np.newaxis]
    return replace(made, at_ms=made.at_ms[rows, :flips], length_ms=ended)


def _held(found: list[Figures], truths: np.ndarray, any_truth: float, chain: Chain) -> Held:
    values = np.array([figures.value_ms for figures in found])

    def share(widths: list[float], truth: np.ndarray | float) -> float:
        return float(np.mean(np.abs(values - truth) <= np.array(widths)))

    lows, highs = zip(*(figures.share for figures in found), strict=True)
    known = chain.straggling > 0
    inside = [low <= chain.straggling <= high for low, high in zip(lows, highs, strict=True)]
    return Held(
        flips_alone=share([figures.half_ms for figures in found], truths),
        this=share([figures.u_ms for figures in found], truths),
        any_one=share([figures.any_u_ms for figures in found], any_truth),
        share=float(np.mean(inside)) if known else math.nan,
        u_ms=float(np.mean([figures.u_ms for figures in found])),
        any_u_ms=float(np.mean([figures.any_u_ms for figures in found])),
        trend=float(np.mean([figures.trend for figures in found])),
    )


def seed_of(name: str) -> int:
    """Return a seed that belongs to a name."""
    return zlib.crc32(name.encode())


def percentiles_held(chain: Chain, flips: int, runs: int, *, seed: int = 0) -> dict[str, float]:
    """Return how often each interval of the median and of the 95 % point holds the long run's own.

    A limit that does not exist does not exclude anything.
    """
    rng = np.random.default_rng(seed)
    clocks = switch_on(chain, runs, rng)
    made = flip(chain, clocks, flips, rng)
    long = flip(chain, clocks, 3000, np.random.default_rng(seed + 1)).latency_ms
    held: dict[str, list[bool]] = {}
    for run in range(runs):
        summary = summaries(made_trials(made, run), no_answers=0, frame_ms=chain.frame_ms, misses_pulses=False)["mid"]
        truth = {"median": np.quantile(long[run], 0.5), "p95": np.quantile(long[run], 0.95)}
        for name, point in (
            ("median", "median"),
            ("p95", "p95"),
            ("balanced_median", "median"),
            ("balanced_p95", "p95"),
        ):
            low, high = getattr(summary, f"{name}_ci95_ms")
            above, below = low is None or low <= truth[point], high is None or truth[point] <= high
            held.setdefault(name, []).append(bool(above and below))
    return {name: float(np.mean(all_held)) for name, all_held in held.items()}


def table(runs: int) -> Iterator[str]:
    """Yield the lines of the long table."""
    yield f"{'set':36} {'flips':>7} {'alone':>6} {'this':>6} {'any':>6} {'share':>6} {'trend':>6} {'U':>6} {'U any':>6}"
    for name, chain in SETS.items():
        for flips in LENGTHS:
            yield _line(name, str(flips), one_switch_on(chain, flips, runs, seed=seed_of(name) + flips))
        for blocks, flips in PLANS[1:]:
            held = several_switch_ons(chain, blocks, flips, runs, seed=seed_of(name) + blocks)
            yield _line(name, f"{blocks}x{flips}", held)
        target = max(chain.frame_ms / 20, 0.3)
        for factor in (1.0, 2.0):
            held = stopping(chain, factor * target, max(runs // 4, 100), seed=seed_of(name) + 7)
            yield _line(name, f"<{factor * target:.2f}", held)


def _line(name: str, flips: str, held: Held) -> str:
    cells = (held.flips_alone, held.this, held.any_one, held.share, held.trend)
    shown = " ".join(f"{100 * cell:6.1f}" for cell in cells)
    return f"{name:36} {flips:>7} {shown} {held.u_ms:6.2f} {held.any_u_ms:6.2f}"


if __name__ == "__main__":
    for text in table(int(sys.argv[1]) if len(sys.argv) > 1 else 1000):
        print(text, flush=True)
