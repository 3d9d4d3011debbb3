"""How often the stated intervals hold the truth, simulated from the practice bench's law."""

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from benchapp.probe.practice.long_run import long_run
from benchapp.probe.practice.options import BenchOptions, Flips, NewOffset
from benchapp.probe.practice.radios import RADIOS
from benchapp.probe.practice.simulate import simulate_latencies
from benchapp.procedures.flips.stop_rules import FlipsSoFar, TargetRule
from benchapp.reduction.flips.circular import largest_gap, locked_by_gap
from benchapp.reduction.flips.headline import HeadlineEstimate, headline
from benchapp.reduction.ground.order_statistics import interval_level, interval_ranks, quantile_interval

Array = NDArray[np.float64]

LEAST_COVERAGE = {20: 0.90, 60: 0.91, 200: 0.92}
"""What a stated 95 % must reach, by number of flips: two to three points below what long simulations gave."""


def bench(radio: str, flips: Flips, **changes: float) -> BenchOptions:
    return BenchOptions(radio=RADIOS[radio], flips=flips, **changes)  # type: ignore[arg-type]


def truth_ms(options: BenchOptions) -> float:
    """Return the mean over flips evenly spread in time, at this radio's offset where it keeps one."""
    own = options.radio.own_offset if options.offset is None else options.offset
    return long_run(options, own if options.radio.locked else None).mid_ms


def simulate(options: BenchOptions, *, runs: int, flips: int, seed: int) -> tuple[Array, Array]:
    """Return mid latencies and phases, each (runs, flips)."""
    made = simulate_latencies(options, runs=runs, flips=flips, rng=np.random.default_rng(seed))
    return made.mid_ms, made.phase


def figure(options: BenchOptions, latencies: Array, phases: Array, *, stopped_itself: bool = False) -> HeadlineEstimate:
    return headline(
        latencies,
        phases,
        np.zeros(latencies.size),
        frame_ms=options.radio.frame_ns / 1e6,
        misses_pulses=options.dropout > 0,
        locked_by_gap=locked_by_gap(largest_gap(phases), latencies.size),
        stopped_itself=stopped_itself,
    )


def holds(estimate: HeadlineEstimate, truth: float) -> bool:
    low, high = estimate.ci95
    assert low is not None
    assert high is not None
    return low <= truth <= high


def headline_coverage(options: BenchOptions, *, runs: int, flips: int) -> float:
    latencies, phases = simulate(options, runs=runs, flips=flips, seed=flips)
    truth = truth_ms(options)
    held = [holds(figure(options, run, at), truth) for run, at in zip(latencies, phases, strict=True)]
    return float(np.mean(held))


@pytest.mark.parametrize("n", [20, 60, 200])
@pytest.mark.parametrize("radio", RADIOS)
def test_order_statistic_intervals_cover_exactly_as_often_as_the_binomial_says(radio: str, n: int) -> None:
    runs = 2000
    options = bench(radio, Flips.RANDOM)
    long_ms, _ = simulate(options, runs=500, flips=2000, seed=1)
    in_time_ms, _ = simulate(options, runs=runs, flips=n, seed=n)
    # Dealt anew, so that each is a draw of its own: flips up and down by turns are a trifle better than chance.
    latencies = np.random.default_rng(n).permutation(in_time_ms.ravel()).reshape(runs, n)
    for q in (0.5, 0.95):
        truth = float(np.quantile(long_ms, q))
        exact = interval_level(n, q, *interval_ranks(n, q))
        held = 0
        for run in latencies:
            low, high = quantile_interval(run, q)
            held += (low is None or low <= truth) and (high is None or truth <= high)
        assert held / runs == pytest.approx(exact, abs=3 * math.sqrt(exact * (1 - exact) / runs))


@pytest.mark.parametrize("n", [20, 60, 200])
@pytest.mark.parametrize("flips", [Flips.RANDOM, Flips.GOLDEN])
@pytest.mark.parametrize("radio", RADIOS)
def test_the_headline_s_interval_holds_the_long_run_mean(radio: str, flips: Flips, n: int) -> None:
    assert headline_coverage(bench(radio, flips), runs=500, flips=n) >= LEAST_COVERAGE[n]


@pytest.mark.parametrize("flips", [Flips.RANDOM, Flips.GOLDEN])
@pytest.mark.parametrize("radio", RADIOS)
def test_lost_pulses_do_not_break_the_headline_s_interval(radio: str, flips: Flips) -> None:
    assert headline_coverage(bench(radio, flips, dropout=0.02), runs=500, flips=60) >= LEAST_COVERAGE[60]


@pytest.mark.parametrize("offset", [0.0, 0.27, 0.73])
def test_a_locked_radio_s_interval_holds_at_any_offset(offset: float) -> None:
    assert headline_coverage(bench("birch", Flips.RANDOM, offset=offset), runs=400, flips=20) >= LEAST_COVERAGE[20]


def test_golden_phases_know_birch_s_figure_to_0_65_ms_after_60_flips() -> None:
    options = bench("birch", Flips.GOLDEN)
    latencies, phases = simulate(options, runs=200, flips=60, seed=60)
    widths = [figure(options, run, at).half_width_ms or math.inf for run, at in zip(latencies, phases, strict=True)]
    assert float(np.mean(widths)) <= 0.65


def test_balancing_is_worth_nearly_half_of_the_plain_mean_s_width_on_birch() -> None:
    options = bench("birch", Flips.RANDOM)
    latencies, phases = simulate(options, runs=200, flips=60, seed=61)
    figures = [figure(options, run, at) for run, at in zip(latencies, phases, strict=True)]
    plain = 2.001 * latencies.std(axis=1, ddof=1) / math.sqrt(60)
    # Simulated beforehand for a locked radio of 22.5 ms: plain mean 1.67 ms, balanced 0.90.
    assert float(np.mean(plain)) == pytest.approx(1.67, abs=0.05)
    assert float(np.mean([found.half_width_ms or math.inf for found in figures])) == pytest.approx(0.90, abs=0.06)


@pytest.mark.parametrize(
    ("radio", "flips", "target_ms"),
    [
        ("alder", Flips.RANDOM, 0.8),
        ("alder", Flips.GOLDEN, 0.45),
        ("birch", Flips.RANDOM, 1.125),
        ("birch", Flips.GOLDEN, 1.125),
        ("cedar", Flips.RANDOM, 2.2),
        ("cedar", Flips.GOLDEN, 2.2),
    ],
)
def test_runs_that_stop_themselves_hold_the_long_run_mean(radio: str, flips: Flips, target_ms: float) -> None:
    runs, most = 400, 300
    options = bench(radio, flips)
    latencies, phases = simulate(options, runs=runs, flips=most, seed=9)
    truth = truth_ms(options)
    held = [holds(stopped(options, run, at, target_ms), truth) for run, at in zip(latencies, phases, strict=True)]
    assert float(np.mean(held)) >= 0.92


def stopped(options: BenchOptions, latencies: Array, phases: Array, target_ms: float) -> HeadlineEstimate:
    """Return the figure of a run that stops at its target, or ran out of flips."""
    rule = TargetRule(target_ms)
    for n in range(30, latencies.size + 1, 10):
        so_far = figure(options, latencies[:n], phases[:n])
        balanced = so_far.estimator == "balanced-mean"
        if rule.met(FlipsSoFar(flips=n, answered=n, half_width_ms=so_far.half_width_ms, balanced=balanced)):
            return figure(options, latencies[:n], phases[:n], stopped_itself=True)
    return figure(options, latencies, phases)


def test_five_switch_ons_hold_the_mean_over_all_switch_ons_and_one_alone_does_not() -> None:
    runs, switch_ons, flips = 300, 5, 20
    options = BenchOptions(radio=RADIOS["birch"], flips=Flips.GOLDEN, new_offset=NewOffset.SEED)
    latencies, phases = simulate(options, runs=runs * switch_ons, flips=flips, seed=5)
    truth = long_run(options, None).mid_ms
    together = [
        headline(
            latencies[first : first + switch_ons].ravel(),
            phases[first : first + switch_ons].ravel(),
            np.repeat(np.arange(switch_ons), flips),
            frame_ms=22.5,
            misses_pulses=False,
            locked_by_gap=False,
        )
        for first in range(0, runs * switch_ons, switch_ons)
    ]
    alone = [figure(options, latencies[i], phases[i]) for i in range(runs)]
    assert {found.estimator for found in together} == {"mean-of-switch-ons"}
    assert float(np.mean([holds(found, truth) for found in together])) >= 0.91
    assert float(np.mean([holds(found, truth) for found in alone])) < 0.5
