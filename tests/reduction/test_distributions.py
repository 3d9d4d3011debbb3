"""Quantiles against scipy over a grid, and against figures printed in tables."""

import math

import pytest
from scipy import special, stats

from benchapp.reduction.ground.distributions import (
    beta_quantile,
    binomial_cdf,
    clopper_pearson,
    normal_quantile,
    student_t_quantile,
)

PROBABILITIES = (1e-6, 0.001, 0.025, 0.2, 0.4, 0.4999, 0.5001, 0.8, 0.975, 0.995, 1 - 1e-6)


@pytest.mark.parametrize("dof", [0.1, 0.5, 1, 1.5, 2, 4.7, 9, 29.3, 59, 100.5, 999, 9999, 10001, 1e6, 1e9])
def test_student_t_agrees_with_scipy_for_whole_and_broken_degrees_of_freedom(dof: float) -> None:
    for p in PROBABILITIES:
        assert student_t_quantile(p, dof) == pytest.approx(stats.t.ppf(p, dof), rel=1e-10)


def test_student_t_gives_the_figures_of_the_guide_s_table() -> None:
    # JCGM 100:2008, table G.2, column 95 % (typed from memory; scipy's quantiles agree to the digits printed).
    table = {1: 12.71, 2: 4.30, 3: 3.18, 5: 2.57, 9: 2.26, 19: 2.09, 30: 2.04, 50: 2.01, math.inf: 1.960}
    for dof, t in table.items():
        assert student_t_quantile(0.975, dof) == pytest.approx(t, abs=0.0051)


def test_student_t_is_odd_and_zero_in_the_middle() -> None:
    assert student_t_quantile(0.5, 3.3) == 0.0
    assert student_t_quantile(0.975, 3.3) == -student_t_quantile(1 - 0.975, 3.3)
    assert student_t_quantile(1.0, 5) == math.inf
    assert student_t_quantile(0.0, 5) == -math.inf


@pytest.mark.parametrize("p", [1e-300, 1e-12, 1e-5, 0.01, 0.3, 0.5001, 0.7, 0.99, 1 - 1e-10])
def test_the_normal_quantile_agrees_with_scipy(p: float) -> None:
    assert normal_quantile(p) == pytest.approx(stats.norm.ppf(p), rel=1e-12)


def test_the_normal_quantile_reaches_its_ends() -> None:
    assert normal_quantile(0.0) == -math.inf
    assert normal_quantile(0.5) == pytest.approx(0.0, abs=1e-15)
    assert normal_quantile(1.0) == math.inf


@pytest.mark.parametrize("a", [0.5, 1, 2, 7, 40, 300])
@pytest.mark.parametrize("b", [0.5, 1, 3, 60, 1000])
def test_beta_quantiles_agree_with_scipy(a: float, b: float) -> None:
    for p in (1e-4, 0.025, 0.3, 0.5, 0.9, 0.975, 0.9999):
        assert beta_quantile(p, a, b) == pytest.approx(special.betaincinv(a, b, p), rel=1e-10)


@pytest.mark.parametrize("n", [1, 5, 20, 60, 500, 100_000])
def test_binomial_sums_agree_with_scipy(n: int) -> None:
    for p in (0.0, 0.05, 0.3, 0.5, 0.95, 1.0):
        for k in {-1, 0, 1, n // 3, int(n * p), n - 1, n}:
            assert binomial_cdf(k, n, p) == pytest.approx(stats.binom.cdf(k, n, p), rel=1e-9, abs=1e-14)


@pytest.mark.parametrize("n", [1, 3, 10, 61, 200, 3600])
def test_clopper_pearson_agrees_with_scipy_for_every_kind_of_share(n: int) -> None:
    for k in {0, 1, n // 3, n // 2, n - 1, n}:
        for level in (0.8, 0.95, 0.99):
            expected = stats.binomtest(k, n).proportion_ci(confidence_level=level, method="exact")
            assert clopper_pearson(k, n, level) == pytest.approx((expected.low, expected.high), rel=1e-9)


def test_no_hits_in_n_leave_the_rule_of_the_tail_alone() -> None:
    # Closed form: with k = 0 the upper limit u solves (1 - u)^n = 0.025.
    low, high = clopper_pearson(0, 60)
    assert low == 0.0
    assert high == pytest.approx(1 - 0.025 ** (1 / 60), rel=1e-12)


def test_nothing_tried_says_nothing() -> None:
    assert clopper_pearson(0, 0) == (0.0, 1.0)


def test_impossible_calls_say_what_was_wanted() -> None:
    with pytest.raises(ValueError, match="above 0, got 0"):
        student_t_quantile(0.9, 0)
    with pytest.raises(ValueError, match=r"between 0 and 1, got 1\.2"):
        normal_quantile(1.2)
    with pytest.raises(ValueError, match="between 0 and 5 hits, got 6"):
        clopper_pearson(6, 5)
    with pytest.raises(ValueError, match="both shapes above 0"):
        beta_quantile(0.5, 0, 1)
