"""Answers that come far too late: split off, counted, and never hidden."""

import math

import pytest
from scipy import stats

from benchapp.records.findings import Trial
from benchapp.reduction.flips.stragglers import split_stragglers, straggler_facts, straggler_share
from tests.reduction.made_trials import trials_of

FRAME_MS = 20.0


def facts_of(latencies, frame_ms=FRAME_MS):
    return straggler_facts(split_stragglers(trials_of(latencies), frame_ms))


def test_a_straggler_is_later_than_the_median_and_two_and_a_half_frames():
    # Median 30 ms, so the limit is 80 ms: at it is usual still, beyond it is not.
    split = split_stragglers(trials_of([20.0, 30.0, 80.0, 80.1, 25.0]), FRAME_MS)
    assert split.later_than_ms == 80.0
    assert [trial.mid_ms for trial in split.usual] == [20.0, 30.0, 80.0, 25.0]
    assert [trial.mid_ms for trial in split.late] == [80.1]


def test_how_many_how_late_and_the_mean_of_all_are_told():
    facts = facts_of([30.0] * 58 + [230.0, 250.0])
    assert (facts.flips, facts.answered) == (2, 60)
    assert (facts.earliest_ms, facts.latest_ms) == (230.0, 250.0)
    assert facts.mean_all_ms == pytest.approx((58 * 30 + 480) / 60)
    exact = stats.binomtest(2, 60).proportion_ci(method="exact")
    assert facts.share_ci95 == pytest.approx((exact.low, exact.high), abs=1e-9)


def test_with_none_seen_the_share_is_at_most_what_would_be_seen_in_all_but_one_run_of_twenty():
    facts = facts_of([30.0] * 60)
    low, high = facts.share_ci95
    # 1 - 0.05^(1/n): the measurement's definition, 4.9 % at 60 flips.
    assert (low, high) == (0.0, pytest.approx(0.0487, abs=1e-4))
    assert (1 - high) ** 60 == pytest.approx(0.05)
    assert (facts.earliest_ms, facts.latest_ms) == (None, None)


def test_without_a_frame_or_a_flip_nothing_is_called_late():
    assert facts_of([30.0, 500.0], None).later_than_ms is None
    assert facts_of([30.0, 500.0], None).share_ci95 == (None, None)
    assert facts_of([]).share_ci95 == (None, None)
    assert facts_of([]).mean_all_ms is None
    assert split_stragglers([], FRAME_MS).usual == ()


@pytest.mark.parametrize("share", [0.002, 0.01, 0.03, 0.06, 0.2])
@pytest.mark.parametrize("n", [20, 60, 200])
def test_the_share_s_interval_holds_the_share(share, n):
    # Summed over the binomial law itself, so exact: what a stated 95 % must reach at the least.
    held = sum(
        stats.binom.pmf(late, n, share)
        for late in range(n + 1)
        for low, high in [straggler_share(late, n)]
        if low is not None and high is not None and low <= share <= high
    )
    assert held >= 0.92


def test_trials_keep_their_order():
    split = split_stragglers(trials_of([30.0, 300.0, 31.0, 400.0, 29.0]), FRAME_MS)
    assert [trial.flip for trial in split.usual] == [1, 3, 5]
    assert [trial.flip for trial in split.late] == [2, 4]
    assert all(isinstance(trial, Trial) for trial in split.usual)
    assert math.isfinite(split.later_than_ms or math.nan)
