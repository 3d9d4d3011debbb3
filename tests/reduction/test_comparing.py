"""Sets side by side: what is said, what is refused, and that the interval and the verdict never disagree."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from benchapp.records.comparison import (
    CANNOT_TELL,
    DAY_UNIT,
    DIFFERENT,
    NAMED,
    NOT_ASKED,
    NOT_THE_SAME_TEST,
    ONE_OF,
    ONE_POWER_UP,
    TOO_FEW_FLIPS,
    RunSpan,
)
from benchapp.records.findings import Latency
from benchapp.records.run import Origin, PickUp
from benchapp.reduction.comparing.comparing import LEADING, TRAILING, WantedSet, compare
from tests.reduction.compared_sessions import answers, session
from tests.reduction.comparing_coverage import FREE, IN_STEP, side_by_side


def made(chain=FREE, blocks=8, flips=12, seed=0, later_ms=0.0, **facts):
    own = replace(chain, path_ms=chain.path_ms + later_ms)
    return session([answers(own, blocks, flips, seed=seed)], own, **facts)


def test_two_sets_far_apart_differ_and_the_quicker_is_named():
    found = side_by_side([made(seed=1), made(seed=2, later_ms=8.0)])
    (pair,) = found.pairs
    assert pair.verdict == DIFFERENT
    assert pair.shift_ci_ms[0] < 8.0 < pair.shift_ci_ms[1]
    assert (found.quickest.verdict, found.quickest.sets) == (NAMED, (0,))
    assert [own.rank for own in found.sets] == [(1, 1), (2, 2)]
    assert pair.more is None


def test_the_shift_turns_its_sign_with_the_order():
    one, other = made(seed=1), made(seed=2, later_ms=8.0)
    (pair,), (turned,) = side_by_side([one, other]).pairs, side_by_side([other, one]).pairs
    assert pair.shift_ms == -turned.shift_ms
    assert pair.shift_ci_ms == (-turned.shift_ci_ms[1], -turned.shift_ci_ms[0])
    assert pair.hl_shift_ms == pytest.approx(-turned.hl_shift_ms)
    assert (pair.p, pair.mw_p) == (turned.p, turned.mw_p)


def test_two_sets_alike_cannot_be_told_and_it_is_said_how_many_more_would():
    found = side_by_side([made(seed=3), made(seed=4)])
    (pair,) = found.pairs
    assert pair.verdict == CANNOT_TELL
    low, high = pair.shift_ci_ms
    assert low < 0.0 < high
    assert pair.at_most_ms == max(-low, high)
    assert pair.more.switch_ons is None or pair.more.switch_ons > 8
    assert (found.quickest.verdict, found.quickest.sets) == (ONE_OF, (0, 1))
    assert [own.rank for own in found.sets] == [(1, 2), (1, 2)]


@pytest.mark.parametrize("seed", range(12))
def test_interval_and_verdict_never_disagree(seed):
    for pair in side_by_side([made(seed=seed, flips=6), made(IN_STEP, seed=seed + 50, later_ms=-8.0, flips=6)]).pairs:
        low, high = pair.shift_ci_ms
        assert (pair.verdict == DIFFERENT) == (low > 0.0 or high < 0.0)
        assert (pair.verdict == DIFFERENT) == (pair.p < 1.0 - pair.level)


def test_several_pairs_share_what_may_be_wrong():
    sets = [made(seed=n, later_ms=float(n)) for n in range(4)]
    found = side_by_side(sets)
    assert {pair.level for pair in found.pairs} == {1 - 0.05 / 6}
    alone = side_by_side(sets[:2]).pairs[0]
    (wide,) = [pair for pair in found.pairs if (pair.a, pair.b) == (0, 1)]
    assert wide.shift_ms == alone.shift_ms
    assert wide.at_most_ms > alone.at_most_ms
    assert all(pair.p_adjusted >= pair.p for pair in found.pairs)


def test_the_interval_of_eight_and_more_switch_ons_is_welch_s_over_their_means():
    found = side_by_side([made(IN_STEP, seed=5), made(seed=6, blocks=10)])
    x, y = (np.array([one.mean_ms for one in own.power_ups]) for own in found.sets)
    welch = stats.ttest_ind(y, x, equal_var=False)
    low, high = welch.confidence_interval(0.95)
    assert found.pairs[0].shift_ci_ms == pytest.approx((low, high), rel=1e-6)
    assert found.pairs[0].dof == pytest.approx(welch.df, rel=1e-6)


def test_a_set_that_keeps_step_goes_by_its_frame_below_eight_switch_ons():
    found = side_by_side([made(IN_STEP, blocks=5, seed=1), made(IN_STEP, blocks=5, seed=2)])
    figure = found.sets[0].figure
    assert figure.keeps_step is True
    assert figure.rule == "known-frame"
    assert found.pairs[0].dof is None
    within = [np.var([t.mid_ms for t in one.trials], ddof=1) / one.n for one in found.sets[0].power_ups]
    assert figure.standard_ms == pytest.approx(np.sqrt(22.5**2 / 60 + np.mean(within) / 5))


def test_fewer_than_60_flips_leave_open_whether_a_set_keeps_step():
    assert side_by_side([made(IN_STEP, blocks=4, flips=12), made()]).sets[0].figure.keeps_step is None


def test_one_switch_on_carries_a_whole_frame_whatever_its_flips():
    found = side_by_side([made(blocks=1, flips=200, seed=1), made(blocks=1, flips=200, seed=2, later_ms=3.0)])
    (pair,) = found.pairs
    assert pair.verdict == CANNOT_TELL
    assert pair.reason == ONE_POWER_UP
    assert pair.at_most_ms > 1.96 * 9.0 / np.sqrt(12) * np.sqrt(2) - 1.0
    assert pair.mw_p is None
    assert pair.more.flips == 6 * pair.more.switch_ons


def test_sets_of_a_name_put_their_switch_ons_together():
    parts = [made(blocks=3, seed=n, fresh=n > 0) for n in range(2)]
    found = compare(
        [*parts, made(blocks=3, seed=9)],
        [WantedSet(name="both", sessions=(0, 1)), WantedSet(name="one", sessions=(2,))],
    )
    own = found.sets[0]
    assert own.figure.units == len(own.power_ups) == 6
    assert own.figure.value_ms == pytest.approx(np.mean([one.mean_ms for one in own.power_ups]))
    assert own.flips == own.answered == 72


def test_three_days_are_the_units_where_there_are_three():
    days = ("2026-11-01T10:00:00+01:00", "2026-11-02T10:00:00+01:00", "2026-11-05T10:00:00+01:00")
    parts = [made(blocks=3, seed=n, started=day, fresh=True) for n, day in enumerate(days)]
    wanted = [WantedSet(name="three days", sessions=(0, 1, 2)), WantedSet(name="one", sessions=(3,))]
    found = compare([*parts, made(seed=9)], wanted)
    figure = found.sets[0].figure
    assert (figure.unit, figure.units) == (DAY_UNIT, 3)
    means = [np.mean([one.mean_ms for one in found.sets[0].power_ups if one.session == n]) for n in range(3)]
    assert figure.unit_means_ms == pytest.approx(means)
    assert figure.standard_ms == pytest.approx(np.std(means, ddof=1) / np.sqrt(3), rel=1e-6)
    assert found.sets[1].figure.unit == "switch-on"
    same_day = [replace(part, facts=replace(part.facts, started=days[0])) for part in parts]
    assert compare([*same_day, made(seed=9)], wanted).sets[0].figure.unit == "switch-on"


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"origin": Origin.PRACTICE}, "origin"),
        ({"pick_up": PickUp.TAPED}, "pick_up"),
        ({"control": "stick"}, "control"),
    ],
)
def test_unlike_tests_are_refused_with_the_field(changed, field):
    one, other = made(seed=1), made(seed=2, later_ms=30.0)
    if "origin" in changed:
        other = replace(other, facts=replace(other.facts, **changed))
    elif "pick_up" in changed:
        other = replace(other, spans={1: replace(other.spans[1], **changed)})
    else:
        run = replace(other.findings.runs[0], **changed)
        other = replace(other, findings=replace(other.findings, runs=(run,)))
    found = side_by_side([one, other])
    (pair,) = found.pairs
    assert pair.verdict == NOT_THE_SAME_TEST
    assert pair.differs_in == (field,)
    assert (pair.shift_ms, pair.p, pair.more) == (None, None, None)
    assert found.quickest.verdict == NOT_ASKED


def test_a_capture_and_a_probe_are_both_real():
    one = made(seed=1)
    other = replace(one, facts=replace(one.facts, origin=Origin.CAPTURE))
    assert side_by_side([one, other]).pairs[0].verdict != NOT_THE_SAME_TEST


def test_a_session_without_a_result_is_no_same_test():
    one = made(seed=1)
    empty = replace(one, findings=replace(one.findings, runs=()))
    found = side_by_side([one, empty])
    assert found.pairs[0].verdict == NOT_THE_SAME_TEST
    assert found.pairs[0].differs_in == ("test",)
    assert found.sets[1].likeness is None


def test_fewer_than_twenty_answers_are_no_figure():
    found = side_by_side([made(blocks=3, flips=6), made()])
    assert found.sets[0].figure is None
    assert (found.sets[0].answered, found.sets[0].flips) == (18, 18)
    (pair,) = found.pairs
    assert (pair.verdict, pair.reason, pair.shift_ms) == (CANNOT_TELL, TOO_FEW_FLIPS, None)
    assert found.quickest.verdict == NOT_ASKED


def test_runs_of_another_kind_in_a_set_are_left_out_and_named():
    own = session([answers(FREE, 8, 6, seed=1), answers(FREE, 8, 6, seed=2)], FREE)
    spans = {1: own.spans[1], 2: RunSpan(start_ns=10**12, stop_ns=2 * 10**12, pick_up=PickUp.TAPED)}
    found = side_by_side([replace(own, spans=spans), made(seed=3)])
    assert found.sets[0].left_out == ((0, 2),)
    assert found.sets[0].answered == 48


def test_where_output_ranges_differ_the_leading_edge_is_compared():
    one = made(seed=1)
    run = one.findings.runs[0]
    latency = run.own(Latency)
    longer = tuple(
        replace(trial, mid_ms=trial.mid_ms + 0.3, before_us=trial.before_us + 300, after_us=trial.after_us + 300)
        for trial in latency.trials
    )
    other = replace(one, findings=replace(one.findings, runs=(replace(run, result=replace(latency, trials=longer)),)))
    found = side_by_side([one, other])
    assert found.point == LEADING
    assert found.pairs[0].shift_ms == pytest.approx(0.0, abs=1e-9)
    assert found.pairs[0].notes == ("leading-edge",)
    alike = side_by_side([one, one])
    assert (alike.point, alike.pairs[0].notes) == (TRAILING, ())


def test_any_difference_is_smaller_than_an_aim_where_both_tests_say_so():
    one, other = made(seed=3), made(seed=4)
    assert side_by_side([one, other]).pairs[0].alike is None
    wide, narrow = (side_by_side([one, other], aim_ms=aim).pairs[0] for aim in (9.0, 0.05))
    assert (wide.alike, narrow.alike) == (True, False)
    assert wide.alike_p < 0.05 < narrow.alike_p
    assert narrow.more_for_aim is not None
    low, high = (stats.t.ppf([0.05, 0.95], wide.dof) * (wide.at_most_ms - abs(wide.shift_ms))) / stats.t.ppf(
        0.975, wide.dof
    )
    assert wide.shift_ms + low > -9.0
    assert wide.shift_ms + high < 9.0


def test_more_switch_ons_for_the_aim_are_fewer_where_the_aim_is_larger():
    pair = {aim: side_by_side([made(seed=3), made(seed=4)], aim_ms=aim).pairs[0] for aim in (0.5, 5.0)}
    assert pair[5.0].more_for_aim.switch_ons < pair[0.5].more_for_aim.switch_ons


def test_fields_of_the_bench_that_differ_are_named_and_private_ones_are_not():
    one = made(seed=1, bench={"transmitter": "A", "volts": "6.0", "customer": "x", "set": "Alder"})
    other = made(seed=2, bench={"transmitter": "B", "volts": " 6.0 ", "job": "7", "distance": "2 m"})
    assert side_by_side([one, other]).pairs[0].differs_in == ("distance", "transmitter")


def test_of_several_sets_the_quickest_is_named_though_the_others_cannot_be_told():
    sets = [made(seed=1), *[made(seed=n, later_ms=6.0) for n in (2, 3, 4)]]
    found = side_by_side(sets)
    assert (found.quickest.verdict, found.quickest.sets) == (NAMED, (0,))
    assert found.quickest.level == pytest.approx(1 - 0.05 / 3)
    assert found.sets[0].rank == (1, 1)
    assert found.sets[1].rank[0] == 2


def test_those_that_no_other_beats_stay_in_the_race():
    found = side_by_side([made(seed=1), made(seed=2), made(seed=3, later_ms=9.0)])
    assert (found.quickest.verdict, found.quickest.sets) == (ONE_OF, (0, 1))
    assert found.sets[2].rank == (3, 3)
