"""A latency that changes while a run goes on."""

import math

import numpy as np
import pytest
from scipy import stats

from benchapp.reduction.flips.trend import trend_of
from tests.reduction.made_trials import trials_of


def noisy(n: int, *, seed: int, slope_ms_per_min: float = 0.0, step_s: float = 1.5, sd_ms: float = 6.5):
    rng = np.random.default_rng(seed)
    times = np.arange(n) * step_s + rng.uniform(0, step_s / 2, n)
    return times, 40.0 + slope_ms_per_min * times / 60 + rng.uniform(-1, 1, n) * sd_ms * math.sqrt(3)


def test_a_straight_line_is_found_exactly_and_its_change_is_that_over_the_run():
    times = np.arange(60) * 2.0
    found = trend_of(trials_of(30 + 0.5 * times / 60, times_s=times))
    assert found.ms_per_min == pytest.approx(0.5)
    assert found.ms_over_run == pytest.approx(0.5 * 118 / 60)
    assert found.standard_ms_per_min == pytest.approx(0.0, abs=1e-9)
    assert found.significant


def test_below_thirty_flips_there_is_no_word_of_a_trend():
    times, latency = noisy(29, seed=1)
    assert trend_of(trials_of(latency, times_s=times)) is None
    assert trend_of([]) is None


@pytest.mark.parametrize(("n", "stretches"), [(30, 8), (60, 15), (200, 50)])
def test_it_is_the_usual_regression_over_the_means_of_stretches_of_about_four(n, stretches):
    # Ordinary regression by another program: scipy's linregress over the same means.
    times, latency = noisy(n, seed=n, slope_ms_per_min=3.0)
    found = trend_of(trials_of(latency, times_s=times))
    parts = np.array_split(np.arange(n), stretches)
    naive = stats.linregress([times[p].mean() / 60 for p in parts], [latency[p].mean() for p in parts])
    assert found.ms_per_min == pytest.approx(naive.slope, rel=1e-6)
    assert found.standard_ms_per_min == pytest.approx(naive.stderr, rel=1e-6)


@pytest.mark.parametrize("n", [30, 60, 200])
def test_flips_without_a_trend_are_said_to_have_one_in_about_one_run_of_eighty(n):
    # Both sides of a normal law beyond 2.5: 1.24 %. Bounds: four standard deviations of so many runs.
    runs = 800
    found = [trend_of(trials_of(latency, times_s=times)) for times, latency in (noisy(n, seed=s) for s in range(runs))]
    share = float(np.mean([trend.significant for trend in found]))
    assert share == pytest.approx(0.0124, abs=4 * math.sqrt(0.0124 / runs))


def test_a_trend_as_large_as_five_standard_errors_is_nearly_always_found():
    # Over 60 flips in 90 s an even spread of 6.5 ms gives the slope a standard error of 6.5·√12/√60/1.5 = 1.9 ms/min.
    found = [
        trend_of(trials_of(latency, times_s=times))
        for times, latency in (noisy(60, seed=seed, slope_ms_per_min=9.7) for seed in range(200))
    ]
    assert np.mean([trend.significant for trend in found]) > 0.9
    assert np.mean([trend.ms_per_min for trend in found]) == pytest.approx(9.7, abs=0.6)


def spread_over(blocks: int, *, seed: int, slope: float = 0.0, of_levels_ms: float = 12.0):
    """Sixty flips over switch-ons whose levels lie apart."""
    times, latency = noisy(60, seed=seed, slope_ms_per_min=slope, sd_ms=2.0)
    block = np.arange(60) * blocks // 60
    levels = np.random.default_rng(seed + 9999).uniform(-of_levels_ms, of_levels_ms, blocks)
    return trials_of(latency + levels[block], times_s=times + 10 * block, blocks=block)


@pytest.mark.parametrize("blocks", [2, 5, 10])
def test_switch_ons_that_lie_apart_are_no_trend(blocks):
    runs = 400
    found = [trend_of(spread_over(blocks, seed=seed)) for seed in range(runs)]
    share = float(np.mean([trend.significant for trend in found]))
    assert share <= 0.0124 + 4 * math.sqrt(0.0124 / runs)


def test_a_trend_within_the_switch_ons_shows_however_far_they_lie_apart():
    found = trend_of(spread_over(5, seed=3, slope=30.0))
    assert found.significant
    assert found.ms_per_min == pytest.approx(30.0, abs=3 * found.standard_ms_per_min)
    # The change is over the whole run, the pauses included.
    assert found.ms_over_run == pytest.approx(found.ms_per_min * (59 * 1.5 + 40) / 60, rel=0.02)


def test_flips_that_all_fall_at_one_moment_show_nothing():
    assert trend_of(trials_of(np.arange(40.0), times_s=np.zeros(40))) is None
