"""Sweeps and holds side by side: judged where both say how sure they are, else shown."""

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from benchapp.records.comparison import (
    CANNOT_TELL,
    DIFFERENT,
    NOT_ASKED,
    NOT_THE_SAME_TEST,
    SHOWN,
    ComparedSession,
    RunSpan,
)
from benchapp.records.findings import RunFindings, SessionFindings
from benchapp.records.run import Origin, Outcome, PickUp, SessionFacts
from benchapp.records.sweep_findings import CurveLine, Linearity, Steadiness
from benchapp.reduction.comparing.comparing import WantedSet, compare
from benchapp.reduction.ground.compared_test import dof_of_factor
from tests.reduction.compared_sessions import answers, session
from tests.reduction.comparing_coverage import FREE, side_by_side


def sweep(straightness=1.0, u=0.2, k=2.0, **changes) -> Linearity:
    line = CurveLine(
        slope=200.0,
        intercept_us=1000.0,
        deviation_us=8.0,
        deviation_pct=straightness,
        at_x=1.0,
        expanded_u_pct=u,
        k=k,
    )
    return Linearity(
        against="stick-voltage", x_unit="V", cycles=3, positions=51, lines={"independent": line}, **changes
    )


def hold(sd_us: float, **changes) -> Steadiness:
    return Steadiness(pulses=1000, held_s=changes.pop("held_s", 20.0), sd_us=sd_us, **changes)


def session_of(*results) -> ComparedSession:
    runs = tuple(
        RunFindings(
            run=number,
            test="stick-sweep" if isinstance(result, Linearity) else "hold-still",
            control="stick",
            outcome=Outcome.COMPLETE,
            flags=(),
            notes=(),
            result=result,
        )
        for number, result in enumerate(results, 1)
    )
    facts = SessionFacts(
        name="", started=None, origin=Origin.PROBE, pick_up=PickUp.UNKNOWN, evidence_hash="", software=""
    )
    spans = {run.run: RunSpan(start_ns=0, stop_ns=1, pick_up=PickUp.UNKNOWN) for run in runs}
    return ComparedSession(facts=facts, findings=SessionFindings(runs=runs, version=2, settings={}), spans=spans)


def by_key(found):
    return {one.key: one for one in found.pairs[0].quantities}


@pytest.mark.parametrize(("apart", "verdict"), [(0.25, CANNOT_TELL), (0.27, CANNOT_TELL), (0.29, DIFFERENT)])
def test_straightness_is_judged_by_both_uncertainties_in_quadrature(apart, verdict):
    found = side_by_side([session_of(sweep(1.0)), session_of(sweep(1.0 + apart))])
    one = by_key(found)["straightness_pct"]
    half = 1.959964 * math.hypot(0.1, 0.1)  # 0.277
    assert one.ci == pytest.approx((apart - half, apart + half), rel=1e-6)
    assert one.verdict == found.pairs[0].verdict == verdict
    assert found.quickest.verdict == NOT_ASKED


def test_quantities_judged_together_share_the_level():
    ends = {"low_us": 1100.0, "low_u_us": 1.0, "high_us": 1900.0, "high_u_us": 1.0}
    one, other = session_of(sweep(**ends)), session_of(sweep(1.29, **ends))
    found = side_by_side([one, other])
    assert by_key(found)["straightness_pct"].verdict == CANNOT_TELL
    half = stats.norm.ppf(1 - 0.05 / 6) * math.hypot(0.1, 0.1)
    assert by_key(found)["straightness_pct"].ci[1] == pytest.approx(0.29 + half, rel=1e-6)


def test_a_quantity_without_an_uncertainty_is_shown_not_judged():
    found = side_by_side([session_of(sweep(u=None, step_us=1.0)), session_of(sweep(9.0, u=None, step_us=4.0))])
    assert {one.verdict for one in found.pairs[0].quantities} == {SHOWN}
    assert (found.pairs[0].verdict, found.pairs[0].reason) == (CANNOT_TELL, SHOWN)
    assert by_key(found)["step_us"].shift == 3.0


def test_three_sweeps_each_are_judged_by_their_own_scatter():
    x, y = (1.0, 1.2, 1.1), (2.0, 2.3, 2.1, 2.2)
    found = side_by_side([session_of(*map(sweep, x)), session_of(*map(sweep, y))])
    one = by_key(found)["straightness_pct"]
    assert one.ci == pytest.approx(tuple(stats.ttest_ind(y, x, equal_var=False).confidence_interval(0.95)), rel=1e-6)
    assert one.verdict == DIFFERENT


def test_two_sweeps_do_not_lessen_one_s_own_uncertainty():
    found = side_by_side([session_of(sweep(1.0, 0.2), sweep(1.2, 0.4)), session_of(sweep(1.0))])
    assert found.sets[0].quantities[0].value == pytest.approx(1.1)
    assert found.sets[0].quantities[0].standard == pytest.approx(0.2)


def test_the_spread_of_one_hold_is_shown_not_judged():
    found = side_by_side([session_of(hold(0.5)), session_of(hold(5.0))])
    assert by_key(found)["unsteadiness_us"].verdict == SHOWN


def test_three_holds_each_are_judged_by_the_logarithm_of_their_spread():
    x, y = np.array([0.5, 0.6, 0.55]), np.array([1.5, 1.2, 1.4])
    found = side_by_side([session_of(*map(hold, x)), session_of(*map(hold, y))])
    one = by_key(found)["unsteadiness_us"]
    welch = stats.ttest_ind(np.log(y), np.log(x), equal_var=False).confidence_interval(0.95)
    assert one.ci == pytest.approx((math.exp(welch.low), math.exp(welch.high)), rel=1e-6)
    assert one.verdict == DIFFERENT
    assert one.shift == pytest.approx(math.exp(np.log(y).mean() - np.log(x).mean()))


def test_three_equal_holds_have_no_scatter_to_judge_by():
    found = side_by_side([session_of(*[hold(0.5)] * 3), session_of(*[hold(0.6)] * 3)])
    assert by_key(found)["unsteadiness_us"].verdict == SHOWN


def test_peak_to_peak_of_holds_of_unlike_length_does_not_stand_side_by_side():
    def long(seconds):
        return session_of(hold(0.5, peak_to_peak_us=3.0, held_s=seconds))

    assert "peak_to_peak_us" in by_key(side_by_side([long(20.0), long(19.0)]))
    assert "peak_to_peak_us" not in by_key(side_by_side([long(20.0), long(60.0)]))


def test_against_voltage_and_against_an_angle_are_no_same_test():
    by_angle = replace(sweep(), against="angle", x_unit="°")
    (pair,) = side_by_side([session_of(sweep()), session_of(by_angle)]).pairs
    assert (pair.verdict, pair.differs_in) == (NOT_THE_SAME_TEST, ("against",))


def test_a_sweep_and_a_hold_are_no_same_test_and_two_sweeps_beside_are_compared():
    found = side_by_side([session_of(sweep()), session_of(hold(1.0)), session_of(sweep())])
    told = {(pair.a, pair.b): (pair.verdict, pair.differs_in) for pair in found.pairs}
    assert told[0, 1] == told[1, 2] == (NOT_THE_SAME_TEST, ("test",))
    assert told[0, 2][0] == CANNOT_TELL
    assert found.test == "stick-sweep"


def test_a_value_that_is_no_number_is_left_out():
    found = compare(
        [session_of(sweep(step_us=math.nan)), session_of(sweep())],
        [WantedSet(name="", sessions=(0,)), WantedSet(name="", sessions=(1,))],
    )
    assert [one.key for one in found.sets[0].quantities] == ["straightness_pct"]


@pytest.mark.parametrize("dof", [1.0, 3.5, 12.0, 29.0])
def test_a_coverage_factor_gives_back_its_degrees_of_freedom(dof):
    assert dof_of_factor(float(stats.t.ppf(0.975, dof))) == pytest.approx(dof, rel=1e-6)


def test_the_factor_2_stands_for_many():
    assert dof_of_factor(2.0) is None


def test_sweeps_and_holds_stand_beside_a_timed_comparison_and_decide_nothing_of_it():
    def mixed(seed, *results):
        timed, own = session([answers(FREE, 8, 12, seed=seed)], FREE), session_of(*results)
        runs = (*timed.findings.runs, *(replace(run, run=run.run + 1) for run in own.findings.runs))
        spans = {run.run: timed.spans[1] for run in runs}
        return replace(timed, findings=replace(timed.findings, runs=runs), spans=spans)

    found = side_by_side([mixed(1, sweep(1.0), hold(0.5)), mixed(2, sweep(3.0))])
    (pair,) = found.pairs
    assert pair.verdict == CANNOT_TELL
    assert pair.shift_ms is not None
    assert by_key(found)["straightness_pct"].verdict == DIFFERENT
    assert "unsteadiness_us" not in by_key(found)
    assert found.quickest.asked == (0, 1)
    assert found.sets[0].left_out == ()
    timed_alone = side_by_side([mixed(1), mixed(2)]).pairs[0]
    assert (pair.shift_ci_ms, pair.level) == (timed_alone.shift_ci_ms, timed_alone.level)


def test_beside_a_timed_comparison_unlike_sweeps_are_not_put_side_by_side():
    def mixed(against):
        timed, own = session([answers(FREE, 8, 12)], FREE), session_of(replace(sweep(), against=against))
        run = replace(own.findings.runs[0], run=2)
        runs = (*timed.findings.runs, run)
        return replace(timed, findings=replace(timed.findings, runs=runs), spans={1: timed.spans[1], 2: timed.spans[1]})

    assert side_by_side([mixed("angle"), mixed("stick-voltage")]).pairs[0].quantities == ()
    assert side_by_side([mixed("angle"), mixed("angle")]).pairs[0].quantities != ()
