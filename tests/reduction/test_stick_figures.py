"""Single figures of stick tests: the probe's floor, the best cubic, repeated values, the clock's share, chi-squared."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats
from scipy.optimize import linprog

from benchapp.records.leads import ClockKind
from benchapp.reduction.ground.chi_squared import chi_squared_cdf, chi_squared_quantile, deviation_interval
from benchapp.reduction.hold.hold_drift import drift
from benchapp.reduction.hold.hold_spread import floor_us, told_from_probe
from benchapp.reduction.recipes import reduce_run
from benchapp.reduction.sweep.closest_cubic import best_cubic
from benchapp.reduction.sweep.repeatability import repeatability
from tests.reduction.made_runs import lead
from tests.reduction.made_sticks import MadeStick
from tests.reduction.stick_coverage import held_run
from tests.reduction.stick_laws import LawStick


@pytest.mark.parametrize("dof", [0.5, 1, 2.3, 4, 20, 300, 5000])
@pytest.mark.parametrize("p", [0.001, 0.025, 0.5, 0.975, 0.999])
def test_the_chi_squared_law_is_the_one_of_scipy(p, dof):
    assert chi_squared_quantile(p, dof) == pytest.approx(stats.chi2.ppf(p, dof), rel=1e-10)
    assert chi_squared_cdf(dof, dof) == pytest.approx(stats.chi2.cdf(dof, dof), rel=1e-10)


def test_the_interval_of_a_spread_with_ten_degrees_of_freedom_is_the_tabulated_one():
    # Chi-squared at 10 degrees of freedom: 3.247 and 20.483 (printed tables; the same as scipy's).
    low, high = deviation_interval(1.0, 10)
    assert low == pytest.approx((10 / 20.483) ** 0.5, rel=1e-4)
    assert high == pytest.approx((10 / 3.247) ** 0.5, rel=1e-4)


def test_the_probe_s_floor_is_that_of_both_edges_stamps_and_lateness():
    # √((62.5² + 62.5² + 625² + 625²)/12) ns
    board = lead(1, "output", resolution_ns=62.5, lateness_typical_ns=625.0)
    assert floor_us(board) == pytest.approx(((2 * 62.5**2 + 2 * 625**2) / 12) ** 0.5 / 1000)
    assert told_from_probe(0.52, floor_us(board)) is True
    assert told_from_probe(0.50, floor_us(board)) is False
    assert told_from_probe(None, 0.1) is None


def test_pulses_that_are_all_alike_show_the_floor_and_are_not_told_from_it():
    rng = np.random.default_rng(3)
    leading = np.arange(1500) * 20_000_000 + rng.integers(0, 625, 1500) + 1_000_000
    trailing = np.arange(1500) * 20_000_000 + 2_500_000 + rng.integers(0, 625, 1500)
    run = held_run(np.full(1500, 1500.0))
    output = run.leads["output"]
    edges = replace(output.edges, times_ns=np.column_stack([leading, trailing]).ravel())
    board = lead(1, "output", resolution_ns=1.0, lateness_typical_ns=625.0)
    found = reduce_run(replace(run, leads={"output": replace(output, lead=board, edges=edges)})).result
    assert found.sd_us == pytest.approx(found.floor_us, rel=0.05)
    assert found.told_from_probe is False
    assert found.peak_to_peak_us > 0.9


@pytest.mark.parametrize("seed", range(6))
def test_the_best_cubic_leaves_the_least_that_linear_programming_finds(seed):
    rng = np.random.default_rng(seed)
    x = np.sort(rng.uniform(0, 3, int(rng.integers(5, 60))))
    y = rng.normal(size=x.size) if seed % 2 else x**3 - 2 * x + 0.3 * np.sin(5 * x)
    columns, one = np.vander((x - 1.5) / 1.5, 4), np.ones(x.size)
    rows = np.vstack([np.column_stack([columns, -one]), np.column_stack([-columns, -one])])
    least = linprog([0, 0, 0, 0, 1], A_ub=rows, b_ub=np.append(y, -y), bounds=[(None, None)] * 5).fun
    values, deviation = best_cubic(x, y)
    assert deviation == pytest.approx(least, abs=1e-9)
    assert np.max(np.abs(values - y)) == pytest.approx(deviation)
    assert best_cubic(x[:4], y[:4]) is None


def test_a_cubic_is_its_own_best_cubic_and_a_ripple_is_not_one():
    assert reduce_run(MadeStick(expo=0.4, noise_us=0.06).run()).result.smooth_curve
    ripple = LawStick(noise_us=0.06, shape=lambda u: 0.01 * np.sin(6 * np.pi * u))
    assert reduce_run(ripple.run()).result.smooth_curve is False
    assert reduce_run(MadeStick(noise_us=0.06).run()).result.smooth_curve is False


@pytest.mark.parametrize("expo", [0.3, 0.6, 0.9, 1.0])
def test_a_shallow_centre_of_an_expo_setting_is_no_flat_and_one_in_it_is(expo):
    assert reduce_run(MadeStick(expo=expo, noise_us=0.06).run()).result.centre_flat_resolved is False
    if expo <= 0.6:
        flat = reduce_run(MadeStick(expo=expo, flat_pct=1.5, noise_us=0.06).run()).result
        assert flat.centre_flat_resolved
        assert flat.centre_flat_pct_of_input == pytest.approx(1.5, abs=0.3)


@pytest.mark.parametrize("step_us", [2.0, 4.0, 6.0])
def test_the_output_of_a_flat_in_steps_stands_for_the_flat_and_one_step_more(step_us):
    """800 us of travel: the output goes on standing until the curve has gone half a step on either side of the flat."""
    flat = reduce_run(MadeStick(flat_pct=1.5, step_us=step_us, noise_us=0.06).run()).result
    assert flat.centre_flat_pct_of_input == pytest.approx(1.5 + 100 * step_us / 800, abs=0.06)


def test_widths_lie_within_their_give_or_take():
    for play in (0.3, 0.7, 1.2):
        found = reduce_run(MadeStick(play_pct=play, noise_us=0.1, seed=7).run()).result
        assert found.dead_band_pct_of_input == pytest.approx(play, abs=found.dead_band_u_pct_of_input)
        assert found.dead_band_resolved
    flat = reduce_run(MadeStick(flat_pct=0.8, noise_us=0.1, seed=8).run()).result
    assert flat.centre_flat_pct_of_input == pytest.approx(0.8, abs=flat.centre_flat_u_pct_of_input)


def test_strokes_that_differ_alike_all_along_are_few_findings_and_those_that_differ_from_place_to_place_many():
    ways = np.array([1.0, -1.0] * 4)
    rng = np.random.default_rng(2)
    whole = repeatability(np.repeat(rng.normal(0, 1, (8, 1)), 49, axis=1), ways, share_us=0.0, step_us=0.0)
    places = repeatability(rng.normal(0, 1, (8, 49)), ways, share_us=0.0, step_us=0.0)
    assert whole.dof == pytest.approx(6.0, rel=0.3)
    assert places.dof > 150
    assert whole.ci95[1] / whole.ci95[0] > 2
    assert places.ci95[1] / places.ci95[0] < 1.4


def test_the_interval_of_repeatability_holds_what_the_strokes_differ_by():
    held = []
    for seed in range(24):
        found = reduce_run(LawStick(seed=seed, noise_us=0.1, stroke_us=1.0, step_us=0.25).run()).result
        low, high = found.repeatability_ci95_us
        held.append(low <= 1.0 <= high)
    assert np.mean(held) >= 1 - 5 / 24


def test_repeatability_is_what_is_left_of_the_spread_by_squares():
    rng = np.random.default_rng(4)
    found = repeatability(rng.normal(0, 1, (6, 49)), np.array([1.0, -1.0] * 3), share_us=0.6, step_us=0.0)
    assert found.us == pytest.approx((found.pooled_us**2 - 0.36) ** 0.5)
    assert found.resolved
    assert not repeatability(rng.normal(0, 1, (6, 49)), np.array([1.0, -1.0] * 3), share_us=0.9, step_us=0.0).resolved
    assert repeatability(rng.normal(0, 1, (2, 49)), np.array([1.0, -1.0]), share_us=0.0, step_us=0.0) is None


def test_values_repeated_by_a_slow_link_are_counted_only_while_the_stick_moves_by_more_than_a_step_a_frame():
    every = reduce_run(MadeStick(noise_us=0.02, frame_ms=9.0).run()).result
    second = reduce_run(MadeStick(noise_us=0.02, frame_ms=9.0, repeat=2).run()).result
    assert every.repeated_of > 500
    assert every.repeated_values == 0
    assert second.repeated_values / second.repeated_of == pytest.approx(0.5, abs=0.02)
    slow = reduce_run(MadeStick(noise_us=0.02, frame_ms=3.0, step_us=4.0, stroke_s=8.0).run()).result
    assert (slow.repeated_values, slow.repeated_of) == (None, None)


def test_lengths_in_us_carry_the_clock_and_a_clock_worse_than_a_tenth_of_a_per_cent_is_said():
    good, bad = (reduce_run(MadeStick(noise_us=0.06).run(clock_tolerance_ppm=ppm)) for ppm in (50.0, 5000.0))
    # 5000 ppm anywhere within, of 1500 µs, twice (JCGM 100:2008, 4.3.7): 8.7 µs; of 800 µs 4.6 µs.
    assert bad.result.centre_u_us == pytest.approx(8.7, abs=0.1)
    assert bad.result.span_u_us == pytest.approx(4.6, abs=0.1)
    assert good.result.centre_u_us < 1.0
    assert "coarse-clock" in bad.notes
    assert "coarse-clock" not in good.notes
    assert bad.result.lines["independent"].expanded_u_pct == good.result.lines["independent"].expanded_u_pct
    hold = reduce_run(replace(held_run(np.full(200, 1500.0)), clock_tolerance_ppm=5000.0))
    assert hold.result.median_u_us == pytest.approx(8.7, abs=0.1)
    assert hold.result.frame_period_u_ms == pytest.approx(2 * 20 * 5e-3 / 3**0.5, rel=0.01)
    assert "coarse-clock" in hold.notes


def test_the_clock_s_kind_goes_into_the_findings():
    run = replace(held_run(np.full(200, 1500.0)), clock_kind=ClockKind.RESONATOR)
    assert reduce_run(run).clock.kind is ClockKind.RESONATOR


def test_an_output_that_never_changed_has_no_drift_and_no_spread():
    found = reduce_run(held_run(np.full(400, 1500.0))).result
    assert (found.sd_us, found.sd_ci95_us, found.drift_us_per_min, found.drift_resolved) == (0, (0, 0), 0, False)
    assert found.told_from_probe is False


def test_too_few_pulses_for_eight_blocks_have_no_drift():
    at_ns = np.arange(31) * 20_000_000
    assert drift(at_ns, np.random.default_rng(1).normal(size=31)) is None
    assert drift(np.arange(32) * 20_000_000, np.random.default_rng(1).normal(size=32)) is not None


def test_a_true_drift_is_told_within_its_give_or_take():
    minutes = np.arange(1500) * 0.02 / 60
    us = 1500 + 2.0 * minutes + np.random.default_rng(6).normal(0, 0.3, 1500)
    found = reduce_run(held_run(us)).result
    assert found.drift_resolved
    assert found.drift_us_per_min == pytest.approx(2.0, abs=found.drift_half_us_per_min)
