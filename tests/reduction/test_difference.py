"""The difference of two sets: against scipy, by hand, and as claims."""

import math

import numpy as np
import pytest
from scipy import stats

from benchapp.records.comparison import SWITCH_ON_UNIT, SetFigure
from benchapp.records.findings import KNOWN_FRAME, ONE_FRAME, SWITCH_ON_MEANS
from benchapp.reduction.comparing.difference import alike_p, difference
from benchapp.reduction.comparing.holm import holm
from benchapp.reduction.comparing.how_many_more import MOST, more_units
from benchapp.reduction.comparing.welch import effective_dof, two_sided_p, upper_p


def figure_of(means: list[float], **changes) -> SetFigure:
    """Return the figure of switch-on means with nothing else unsure."""
    spread = float(np.std(means, ddof=1))
    standard = spread / math.sqrt(len(means))
    facts = {
        "value_ms": float(np.mean(means)),
        "standard_ms": standard,
        "dof": float(len(means) - 1),
        "half_ms": 2 * standard,
        "wide_ms": 2 * standard,
        "unit": SWITCH_ON_UNIT,
        "unit_means_ms": tuple(means),
        "rule": SWITCH_ON_MEANS,
        "keeps_step": False,
        "frame_ms": 9.0,
        "spread_ms": spread,
        "flips_each": 12.0,
        "locked": False,
    }
    return SetFigure(**(facts | changes))


@pytest.mark.parametrize(("m", "n", "wide"), [(3, 5, 1.0), (5, 5, 4.0), (8, 12, 0.2), (20, 3, 9.0)])
def test_interval_degrees_of_freedom_and_p_are_scipy_s_welch(m: int, n: int, wide: float):
    rng = np.random.default_rng(m + n)
    x, y = rng.normal(20, 1, m), rng.normal(21, wide, n)
    found = difference(figure_of(x.tolist()), figure_of(y.tolist()), level=0.95)
    welch = stats.ttest_ind(y, x, equal_var=False)
    low, high = welch.confidence_interval(0.95)
    assert found.dof == pytest.approx(welch.df, rel=1e-9)
    assert found.p == pytest.approx(welch.pvalue, rel=1e-8)
    assert (found.shift_ms - found.half_ms, found.shift_ms + found.half_ms) == pytest.approx((low, high), rel=1e-8)


def test_two_one_sided_t_tests_are_scipy_s():
    rng = np.random.default_rng(7)
    x, y = rng.normal(20, 1, 8), rng.normal(20.4, 2, 11)
    found = difference(figure_of(x.tolist()), figure_of(y.tolist()), level=0.95)
    for aim_ms in (0.1, 1.0, 2.0, 5.0):
        lower = stats.ttest_ind(y, x - aim_ms, equal_var=False, alternative="greater").pvalue
        upper = stats.ttest_ind(y, x + aim_ms, equal_var=False, alternative="less").pvalue
        assert alike_p(found, aim_ms) == pytest.approx(max(lower, upper), rel=1e-7)


@pytest.mark.parametrize("dof", [1.0, 4.2, 30.0, 2e5])
@pytest.mark.parametrize("t", [-3.0, -0.5, 0.0, 0.7, 2.0, 9.0])
def test_tails_are_scipy_s(t: float, dof: float):
    assert upper_p(t, dof) == pytest.approx(stats.t.sf(t, dof), rel=1e-8)
    assert two_sided_p(t, dof) == pytest.approx(2 * stats.t.sf(abs(t), dof), rel=1e-8)


def test_with_endless_degrees_of_freedom_the_tail_is_the_normal_one():
    assert upper_p(1.96, None) == pytest.approx(stats.norm.sf(1.96), rel=1e-12)
    assert effective_dof(1.0, None, 2.0, None) is None
    assert effective_dof(0.0, 3.0, 0.0, 4.0) is None


def test_one_sided_spread_has_its_own_degrees_of_freedom():
    assert effective_dof(0.0, 3.0, 2.0, 7.0) == pytest.approx(7.0)
    assert effective_dof(2.0, 5.0, 2.0, None) == pytest.approx(20.0)  # 2⁴·4/(2⁴/5), by hand


def test_holm_s_steps_worked_by_hand():
    # 0.01·4, then 0.02·3, 0.03·2 and 0.04·1, none below the one before.
    assert holm([0.04, 0.01, 0.03, 0.02]) == pytest.approx([0.06, 0.04, 0.06, 0.06])
    assert holm([0.2, 0.5, 0.9]) == pytest.approx([0.6, 1.0, 1.0])
    assert holm([]) == []


def test_without_any_spread_a_difference_is_a_difference():
    one, other = figure_of([20.0, 20.0, 20.0]), figure_of([21.0, 21.0, 21.0])
    found = difference(one, other, level=0.95)
    assert (found.half_ms, found.p) == (0.0, 0.0)
    assert difference(one, one, level=0.95).p == 1.0
    assert alike_p(found, 2.0) == 0.0
    assert alike_p(found, 0.5) == 1.0


@pytest.mark.parametrize("level", [0.95, 0.99])
def test_the_number_of_switch_ons_that_would_tell_is_the_smallest_that_does(level: float):
    one, other = figure_of([20.0, 22.0, 24.0]), figure_of([21.0, 24.0, 27.0])
    shift = 2.0
    more = more_units(one, other, shift_ms=shift, level=level)

    def half(k: int) -> float:
        return stats.t.ppf(0.5 + level / 2, 2 * k - 2) * math.hypot(2.0, 3.0) / math.sqrt(k)

    assert more.switch_ons is not None
    assert half(more.switch_ons) <= shift < half(more.switch_ons - 1)
    assert more.flips == 12 * more.switch_ons
    assert more.days is None


def test_more_is_never_what_there_is_already():
    one, other = figure_of([20.0, 22.0, 24.0] * 4), figure_of([21.0, 24.0, 27.0] * 4)
    assert more_units(one, other, shift_ms=50.0, level=0.95).switch_ons == 13


def test_no_reasonable_number_is_none():
    one, other = figure_of([20.0, 22.0, 24.0]), figure_of([21.0, 24.0, 27.0])
    assert more_units(one, other, shift_ms=0.01, level=0.95).switch_ons is None
    assert more_units(one, other, shift_ms=0.0, level=0.95).switch_ons is None
    assert MOST > 2


def test_flips_are_told_only_where_they_count_beside_switch_ons():
    step = figure_of([10.0, 20.0, 30.0], keeps_step=True, rule=KNOWN_FRAME)
    assert more_units(step, step, shift_ms=9.0, level=0.95).flips is None
    single = figure_of([10.0, 20.0], keeps_step=None, rule=ONE_FRAME, spread_ms=3.0)
    more = more_units(single, single, shift_ms=3.0, level=0.95)
    assert more.switch_ons is not None
    assert more.flips == 6 * more.switch_ons
