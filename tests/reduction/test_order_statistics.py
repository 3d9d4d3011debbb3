"""Percentiles and order-statistic intervals against published ranks and worked examples."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from benchapp.records.errors import NotEnoughData
from benchapp.reduction.ground.order_statistics import interval_level, interval_ranks, percentile, quantile_interval

# Confidence intervals for the population median: n, lower rank, upper rank, level in percent.
# Table A.7, p. 656, of a statistics textbook whose title is not shown, at coursehero.com/file/5646626/A7.
TABLE_A7 = """
2,1,2,50.0 3,1,3,75.0 4,1,4,87.5 5,1,5,93.8 6,1,6,96.9 6,2,5,78.1 7,1,7,98.4 7,2,6,87.5 8,1,8,99.2 8,2,7,93.0
9,1,9,99.6 9,2,8,96.1 9,3,7,82.0 10,1,10,99.8 10,2,9,97.9 10,3,8,89.1 11,1,11,99.9 11,2,10,98.8 11,3,9,93.5
12,2,11,99.4 12,3,10,96.1 12,4,9,85.4 13,2,12,99.7 13,3,11,97.8 13,4,10,90.8 14,2,13,99.8 14,3,12,98.7
14,4,11,94.3 14,5,10,82.0 15,3,13,99.3 15,4,12,96.5 15,5,11,88.2 16,3,14,99.6 16,4,13,97.9 16,5,12,92.3
16,6,11,79.0 17,3,15,99.8 17,4,14,98.7 17,5,13,95.1 17,6,12,85.7 18,4,15,99.2 18,5,14,96.9 18,6,13,90.4
19,4,16,99.6 19,5,15,98.1 19,6,14,93.6 19,7,13,83.3 20,4,17,99.7 20,5,16,98.8 20,6,15,95.9 20,7,14,88.5
"""
ROWS = [tuple(float(cell) for cell in row.split(",")) for row in TABLE_A7.split()]


@pytest.mark.parametrize(("n", "lower", "upper", "level"), ROWS)
def test_the_level_of_each_pair_of_ranks_is_the_one_printed(n: float, lower: float, upper: float, level: float) -> None:
    assert 100 * interval_level(int(n), 0.5, int(lower), int(upper)) == pytest.approx(level, abs=0.0501)


@pytest.mark.parametrize("n", range(6, 21))
def test_the_ranks_at_95_percent_are_the_narrowest_printed_ones_that_reach_it(n: int) -> None:
    reaching = [(int(low), int(high)) for size, low, high, level in ROWS if size == n and level >= 95.0]
    assert interval_ranks(n, 0.5) == reaching[-1]


@pytest.mark.parametrize("n", [0, 1, 5])
def test_too_few_values_bound_no_median(n: int) -> None:
    assert interval_ranks(n, 0.5) == (None, None)


def test_the_95th_percentile_has_an_upper_limit_only_from_72_values_on() -> None:
    # 0.95^71 = 0.0262 and 0.95^72 = 0.0249.
    assert [interval_ranks(n, 0.95)[1] for n in (60, 71, 72)] == [None, None, 72]
    assert [interval_ranks(n, 0.05)[0] for n in (60, 71, 72)] == [None, None, 1]


@given(n=st.integers(0, 400), q=st.floats(0.01, 0.99), level=st.floats(0.5, 0.999))
def test_each_tail_stays_within_its_half_and_one_rank_nearer_would_not(n: int, q: float, level: float) -> None:
    tail = (1 - level) / 2
    lower, upper = interval_ranks(n, q, level)
    slack = 1e-9
    reached = lower or 0
    if lower is not None:
        assert stats.binom.cdf(lower - 1, n, q) <= tail + slack
    if reached < n:
        assert stats.binom.cdf(reached, n, q) > tail - slack
    top = n + 1 if upper is None else upper
    if upper is not None:
        assert stats.binom.sf(upper - 1, n, q) <= tail + slack
    if top > 1:
        assert stats.binom.sf(top - 2, n, q) > tail - slack


def test_a_published_interval_of_19_values_comes_out() -> None:
    # statpsych, ci.median (citing Snedecor and Cochran 1989): median 20.7, limits 10.8 and 30.9.
    text = "30.2 20.4 15.1 10.2 10.5 60.8 20.8 25.0 20.7 30.9 10.8 5.1 50.9 40.0 20.9 10.8 0 20.5 50.8"
    values = [float(value) for value in text.split()]
    assert percentile(values, 0.5) == 20.7
    assert interval_ranks(19, 0.5) == (5, 15)
    assert quantile_interval(values, 0.5) == (10.8, 30.9)


def test_a_published_level_for_35_values_comes_out() -> None:
    # real-statistics.com, a page on confidence intervals of order statistics (its title from memory): x17 to x19 of 35
    # hold the median at 0.264121.
    assert interval_level(35, 0.5, 17, 19) == pytest.approx(0.264121, abs=5e-7)


def test_intervals_of_the_r_package_confintr_come_out() -> None:
    # ci_quantile of R confintr on exp(0, 0.01, … 1), as quoted in scipy's test_R_ci_quantile.
    values = np.exp(np.arange(101) / 100)
    assert quantile_interval(values, 0.3) == pytest.approx((1.22140275816017, 1.476980793882643), rel=1e-12)
    assert quantile_interval(values, 0.5, 0.9) == pytest.approx((1.506817785112854, 1.803988415397857), rel=1e-12)
    # One-sided 95 % and 90 % limits are the sides of two-sided 90 % and 80 % intervals.
    assert quantile_interval(values, 0.25, 0.9)[1] == pytest.approx(1.39096812846378, rel=1e-12)
    assert quantile_interval(values, 0.8, 0.8)[0] == pytest.approx(2.117000016612675, rel=1e-12)


@given(values=st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=50), q=st.floats(0, 1))
def test_percentiles_are_the_linear_ones_of_hyndman_and_fan_s_definition_7(values: list[float], q: float) -> None:
    expected = float(np.quantile(values, q, method="linear"))
    assert percentile(values, q) == pytest.approx(expected, rel=1e-12, abs=1e-9)


def test_unanswered_flips_count_as_later_than_anything_seen() -> None:
    values = [math.inf, 3.0, 1.0, 2.0, math.inf]
    assert percentile(values, 0.5) == 3.0
    assert percentile(values, 0.25) == 2.0
    assert percentile(values, 0.6) == math.inf
    assert percentile(values, 1.0) == math.inf


def test_a_limit_among_the_unanswered_is_none() -> None:
    answered = [float(value) for value in range(8)]
    assert interval_ranks(10, 0.5) == (2, 9)
    assert quantile_interval([*answered, math.inf, math.inf], 0.5) == (1.0, None)


def test_no_values_and_no_numbers_are_refused() -> None:
    with pytest.raises(NotEnoughData, match="at least one value"):
        percentile([], 0.95)
    with pytest.raises(ValueError, match="got NaN"):
        percentile([1.0, math.nan], 0.5)
    with pytest.raises(ValueError, match="between 0 and 1, got 95"):
        percentile([1.0], 95)
