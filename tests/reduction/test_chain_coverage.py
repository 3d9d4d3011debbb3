"""What is stated as 95 % holds, for sets that are not the practice bench's: the short form of `coverage`.

Each share is one of RUNS runs. A true coverage of 92 % (90 % at 20 flips: the least that must hold) would fall below
the bound of a test once in a thousand; seeds are fixed, so a test that passes goes on passing until the method
changes. A method that holds in 80 % only is above the bound in 3 tests of a hundred, one that holds in 85 % in about
half of them: over all the sets here it is found out.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from benchapp.reduction.recipes import reduce_run
from tests.reduction.chains import PULSE_MS, Chain, any_truth_ms, flip, switch_on, truth_ms
from tests.reduction.coverage import (
    FREE,
    GOLDEN_TWO_FIFTHS,
    IN_STEP,
    ONE,
    SETS,
    SLIPPING,
    TWICE,
    conclude,
    made_trials,
    one_switch_on,
    percentiles_held,
    several_switch_ons,
    stopping,
)
from tests.reduction.made_runs import Made, random_flips

RUNS = 200
PULSE_MEAN_MS = sum(PULSE_MS) / 2


def fewest(share: float, runs: int) -> float:
    """Return the share of runs below which a true share would fall once in a thousand tests."""
    return float(stats.binom.ppf(0.001, runs, share)) / runs


@pytest.mark.parametrize(
    ("name", "flips"),
    [
        ("one sampler, 22 ms", 20),
        ("two free, 4/9 ms", 60),
        ("two free, 4/9 ms", 200),
        ("in step, 22.5/22.5", 20),
        ("22 scan, 11 frame", 60),
        ("9 scan, 22.5 frame, golden", 60),
        ("22/22 and 20 ppm", 60),
        ("two free, 20 % lost", 60),
        ("in step, 10 % lost", 20),
        ("in step, drift of 5 ms", 60),
        ("in step, 10 % of pulses missing", 60),
    ],
)
def test_the_figure_of_this_switch_on_holds_its_own_long_run(name: str, flips: int) -> None:
    held = one_switch_on(SETS[name], flips, RUNS, seed=flips)
    wanted = fewest(0.90 if flips == 20 else 0.92, RUNS)
    assert held.this >= wanted
    assert held.flips_alone >= wanted or held.trend > 0.05  # a trend is no part of the flips' own interval
    assert held.any_one >= wanted


@pytest.mark.parametrize("name", ["two free, 1 % stragglers", "in step, 3 % stragglers"])
@pytest.mark.parametrize("flips", [60])
def test_stragglers_leave_the_usual_answers_figure_and_their_own_share_right(name: str, flips: int) -> None:
    held = one_switch_on(SETS[name], flips, RUNS, seed=flips)
    wanted = fewest(0.90 if flips == 20 else 0.92, RUNS)
    assert held.this >= wanted
    assert held.share >= wanted


@pytest.mark.parametrize("name", ["two free, 4/9 ms", "in step, 22.5/22.5"])
def test_the_intervals_of_the_median_and_of_the_95_percent_point_hold_the_long_run_s_own(name: str) -> None:
    runs = 150
    held = percentiles_held(SETS[name], 60, runs, seed=3)
    assert set(held) == {"median", "p95", "balanced_median", "balanced_p95"}
    assert all(share >= fewest(0.92, runs) for share in held.values()), held


def test_a_mean_that_takes_the_stragglers_in_would_not_hold() -> None:
    """What the split is for: with 1 % of answers 200 ms late, the plain mean of 60 holds in about half of the runs."""
    chain = replace(FREE, straggling=0.01)
    clocks = switch_on(chain, RUNS, np.random.default_rng(3))
    latency = flip(chain, clocks, 60, np.random.default_rng(4)).latency_ms
    truth = (
        PULSE_MEAN_MS + chain.path_ms + (4.0037 + 9.0) / 2 + 0.01 * 207.0
    )  # 23 frames of 9 ms are the first past 200
    half = stats.t.ppf(0.975, 59) * latency.std(axis=1, ddof=1) / math.sqrt(60)
    assert float(np.mean(np.abs(latency.mean(axis=1) - truth) <= half)) < 0.65


@pytest.mark.parametrize(
    ("chain", "blocks", "flips"),
    [(IN_STEP, 2, 30), (IN_STEP, 5, 12), (IN_STEP, 10, 6), (TWICE, 10, 6)],
)
def test_any_switch_on_holds_the_mean_over_all_offsets(chain: Chain, blocks: int, flips: int) -> None:
    assert several_switch_ons(chain, blocks, flips, RUNS, seed=blocks).any_one >= fewest(0.92, RUNS)


def test_one_switch_on_says_nothing_of_the_next_without_its_line() -> None:
    held = one_switch_on(IN_STEP, 60, 100, seed=2)
    chain_mean = any_truth_ms(IN_STEP, np.random.default_rng(1), flips=60)
    clocks = switch_on(IN_STEP, 100, np.random.default_rng(2))
    own = truth_ms(IN_STEP, clocks, flip(IN_STEP, clocks, 60, np.random.default_rng(3)))
    assert float(np.mean(np.abs(own - chain_mean) <= held.u_ms)) < 0.3
    assert held.any_one >= fewest(0.92, 100)


@pytest.mark.parametrize(
    ("chain", "target_ms"), [(FREE, 0.8), (IN_STEP, 1.125), (TWICE, 1.9), (GOLDEN_TWO_FIFTHS, 1.6)]
)
def test_a_run_that_stops_itself_holds_its_own_long_run(chain: Chain, target_ms: float) -> None:
    runs = 50
    assert stopping(chain, target_ms, runs, most=90, seed=5).this >= fewest(0.92, runs)


def test_two_clocks_that_slip_show_as_a_trend_once_they_have_slipped_far_enough() -> None:
    # 20 ppm over 200 flips of 1.25 s are 5 ms, beside a standard error of 6.4·√12/√200 = 1.6 ms.
    assert one_switch_on(SLIPPING, 200, 40, seed=6).trend > 0.5
    assert one_switch_on(IN_STEP, 60, 100, seed=6).trend < 0.08


# The simulator, against closed forms -------------------------------------------------------------------------------


def truths(chain: Chain) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    clocks = switch_on(chain, 50, np.random.default_rng(7))
    made = flip(chain, clocks, 60, np.random.default_rng(8))
    return truth_ms(chain, clocks, made), clocks.scan_ms[:, 0], clocks.frame_ms[:, 0]


def test_one_sampler_waits_half_a_frame_on_average() -> None:
    found, _, _ = truths(ONE)
    assert found == pytest.approx(np.full(50, 11.0 + ONE.path_ms + PULSE_MEAN_MS), abs=0.05)


def test_two_free_samplers_wait_half_of_each_period_on_average() -> None:
    found, _, _ = truths(FREE)
    assert found == pytest.approx(np.full(50, (4.0037 + 9.0) / 2 + FREE.path_ms + PULSE_MEAN_MS), abs=0.15)


@pytest.mark.parametrize("chain", [IN_STEP, TWICE])
def test_samplers_in_step_wait_half_a_scan_and_what_their_offset_leaves(chain: Chain) -> None:
    found, scan, frame = truths(chain)
    rest = (frame - scan - chain.path_ms) % chain.frame_ms
    assert found == pytest.approx((chain.scan_ms or 0) / 2 + chain.path_ms + rest + PULSE_MEAN_MS, abs=0.1)


def test_lost_frames_make_an_answer_later_by_their_mean() -> None:
    # A share q lost: q/(1 - q) frames on average, the same in a row; stragglers apart it is a little less.
    found, _, _ = truths(replace(ONE, lost=0.05))
    assert found.mean() == pytest.approx(11.0 + ONE.path_ms + PULSE_MEAN_MS + 22.0 * 0.05 / 0.95, abs=0.15)


def test_what_is_put_together_here_is_what_the_whole_reduction_states() -> None:
    made = Made(period_ms=22.5, path_ms=3.0, flips_s=random_flips(60), seconds=75)
    findings = reduce_run(made.run())
    latency, frame = findings.result, findings.frame
    assert latency is not None
    assert frame is not None
    found = conclude(list(latency.trials), Chain(frame_ms=frame.period_ms or 0.0))
    assert found.value_ms == latency.headline.value_ms
    assert found.u_ms == pytest.approx(latency.headline.expanded_uncertainty_ms, rel=1e-3)
    assert found.any_u_ms == pytest.approx(latency.any_switch_on.expanded_uncertainty_ms, rel=1e-3)
    assert found.late == latency.stragglers.flips


def test_trials_of_several_switch_ons_are_numbered_by_them_and_in_time_order() -> None:
    clocks = switch_on(IN_STEP, 3, np.random.default_rng(1))
    trials = made_trials(flip(IN_STEP, clocks, 4, np.random.default_rng(2)), 0, blocks=3, pause_ms=5e3)
    assert [trial.block for trial in trials] == [0] * 4 + [1] * 4 + [2] * 4
    assert [trial.at_ns for trial in trials] == sorted(trial.at_ns for trial in trials)
