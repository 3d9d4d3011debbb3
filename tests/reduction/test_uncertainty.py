"""Budgets against worked figures of the Guide (JCGM 100:2008)."""

import math

import pytest
from scipy import stats

from benchapp.records.findings import BudgetLine
from benchapp.reduction.ground.uncertainty import combine, one_step, rectangular


def line(standard_ms: float, dof: float | None = None) -> BudgetLine:
    return BudgetLine(source="test", standard_ms=standard_ms, kind="B" if dof is None else "A", dof=dof)


def test_the_guide_s_worked_budget_comes_out() -> None:
    # JCGM 100:2008, G.4.1, example: 0.25, 0.57 and 0.82 with n = 10, 5 and 15 give 1.03, 19.0 dof and t 2.09 (clause
    # and figures from memory).
    combined = combine([line(0.25, 9), line(0.57, 4), line(0.82, 14)])
    assert combined.standard_ms == pytest.approx(1.03, abs=0.005)
    assert combined.dof == pytest.approx(19.0, abs=0.05)
    assert combined.k == pytest.approx(2.09, abs=0.005)
    assert combined.expanded_ms == combined.k * combined.standard_ms


def test_from_30_degrees_of_freedom_on_k_is_2() -> None:
    assert combine([line(0.3, 30.0)]).k == 2.0
    assert combine([line(0.3, 29.9)]).k == pytest.approx(stats.t.ppf(0.975, 29.9), rel=1e-10)
    assert combine([line(0.3, 2.5)]).k == pytest.approx(stats.t.ppf(0.975, 2.5), rel=1e-10)


def test_lines_of_type_b_alone_have_infinite_degrees_of_freedom() -> None:
    combined = combine([line(3.0), line(4.0)])
    assert (combined.standard_ms, combined.dof, combined.k, combined.expanded_ms) == (5.0, None, 2.0, 10.0)


def test_a_dominant_line_of_type_b_frees_the_budget_from_few_trials() -> None:
    few = combine([line(1.0, 4)])
    with_frame = combine([line(1.0, 4), line(6.5)])
    assert few.k > 2.7
    assert with_frame.k == 2.0


def test_nothing_uncertain_is_zero_and_not_an_error() -> None:
    for lines in ([], [line(0.0, 5)]):
        combined = combine(lines)
        assert (combined.standard_ms, combined.dof, combined.k, combined.expanded_ms) == (0.0, None, 2.0, 0.0)


def test_a_rectangular_bound_and_a_step_have_the_guide_s_standard_uncertainties() -> None:
    # JCGM 100:2008, 4.3.7 (clause number from memory): a/√3, worked for a range of 7 to 10, a = 1.5, u = 0.87;
    # F.2.2.1 (as quoted in the documentation of clanTools): step × 0.29.
    assert rectangular(1.5) == pytest.approx(0.87, abs=0.005)
    assert one_step(1.0) == pytest.approx(0.29, abs=0.005)
    assert one_step(1.0) == pytest.approx(1 / math.sqrt(12), rel=1e-15)
