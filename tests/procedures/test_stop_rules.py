"""When a run has enough."""

import pytest

from benchapp.procedures.flips.stop_rules import (
    FlipsSoFar,
    TargetRule,
    flips_left,
    minutes_left,
    out_of_reach,
    proposed_target_ms,
    switch_ons_left,
)
from benchapp.records.run import RunSettings


def so_far(answered: int, half_width_ms: float | None = 1.0, *, balanced: bool = False) -> FlipsSoFar:
    return FlipsSoFar(flips=answered, answered=answered, half_width_ms=half_width_ms, balanced=balanced)


def first_stop(target_ms: float, half_width_ms: dict[int, float], upto: int = 100) -> int | None:
    rule = TargetRule(target_ms)
    width = 99.0
    for answered in range(1, upto + 1):
        width = half_width_ms.get(answered, width)
        if rule.met(so_far(answered, width)):
            return answered
    return None


def test_without_a_target_it_never_stops():
    rule = TargetRule(None)
    assert not any(rule.met(so_far(answered, 0.0)) for answered in range(200))


def test_a_target_met_from_the_start_stops_at_forty_the_second_look():
    assert first_stop(1.0, {1: 0.5}) == 40


def test_it_looks_at_every_tenth_only():
    # Good between the looks, bad at each of them.
    widths = {n: 9.0 if n % 10 == 0 else 0.1 for n in range(1, 101)}
    assert first_stop(1.0, widths) is None


def test_two_looks_running_are_needed():
    assert first_stop(1.0, {30: 0.5, 40: 2.0, 50: 0.5, 60: 0.5}) == 60


def test_the_target_itself_is_good_enough():
    assert first_stop(1.0, {30: 1.0}) == 40
    assert first_stop(1.0, {30: 1.0 + 1e-9}) is None


def test_a_jump_over_a_tenth_is_still_one_look():
    rule = TargetRule(1.0)
    assert not rule.met(so_far(33, 0.5))
    assert not rule.met(so_far(39, 0.5))
    assert rule.met(so_far(41, 0.5))


def test_no_half_width_is_not_good_enough():
    rule = TargetRule(1.0)
    assert not any(rule.met(so_far(answered, None)) for answered in (30, 40, 50, 60))


def test_flips_left_count_down_to_those_asked_for():
    assert flips_left(RunSettings(flips=60), so_far(45)) == 15
    assert flips_left(RunSettings(flips=60), so_far(70)) == 0
    assert flips_left(RunSettings(), so_far(5)) is None


@pytest.mark.parametrize(("balanced", "needed"), [(False, 160), (True, 80)])
def test_flips_left_to_a_target_follow_the_law_of_the_estimator(balanced, needed):
    # n (h / target)^2 for the plain mean, n h / target for the balanced one; then one look more.
    left = flips_left(RunSettings(target_ms=0.5), so_far(40, 1.0, balanced=balanced))
    assert left == needed + 10 - 40


def test_of_two_ends_the_nearer_one_counts():
    settings = RunSettings(flips=60, target_ms=0.5)
    assert flips_left(settings, so_far(40, 1.0)) == 20


def test_a_target_over_several_switch_ons_waits_for_the_last_of_them():
    # Five times twelve, and a target met long ago: it is looked at in the fifth alone, at the 49th flip and the 50th.
    assert flips_left(RunSettings(flips=60, switch_ons=5, target_ms=5.0), so_far(30, 1.0)) == 20
    assert flips_left(RunSettings(flips=60, switch_ons=1, target_ms=5.0), so_far(30, 1.0)) == 10
    # Ten times six: at the 55th flip and the 60th.
    settings = RunSettings(flips=60, switch_ons=10, target_ms=5.0)
    assert flips_left(settings, so_far(30, 1.0)) == 30
    assert [switch_ons_left(settings, so_far(30), blocks=blocks) for blocks in (1, 5, 9, 10)] == [9, 5, 1, None]
    # What comes first is the end all the same: by this width the target needs 480 flips more.
    assert flips_left(settings, so_far(30, 20.0)) == 30


def test_switch_ons_are_left_only_where_a_target_waits_for_them():
    assert switch_ons_left(RunSettings(flips=60, switch_ons=10), so_far(18), blocks=3) is None
    assert switch_ons_left(RunSettings(flips=60, target_ms=1.0), so_far(18), blocks=1) is None


def test_switch_ons_made_by_hand_are_counted_by_the_law_of_their_means():
    # Four of six flips, 1.5 ms, 0.9 of it from elsewhere, to come to 1.5 / √2: 1.2² / (1.125 - 0.81) = 4.57 times as
    # many switch-ons, 19 in all, six flips in each of the 15 more: 114 flips; the looks after them are at 120 and 130.
    four = FlipsSoFar(flips=24, answered=24, half_width_ms=1.5, balanced=False, rest_ms=0.9, switch_ons=4)
    target = {"target_ms": 1.5 / 2**0.5}
    assert switch_ons_left(RunSettings(**target), four, blocks=4) == 15
    assert flips_left(RunSettings(**target), four) == 130 - 24
    assert switch_ons_left(RunSettings(flips=114, **target), four, blocks=4) == 15
    assert switch_ons_left(RunSettings(flips=60, **target), four, blocks=4) is None
    assert flips_left(RunSettings(flips=60, **target), four) == 36
    assert switch_ons_left(RunSettings(target_ms=2.0), four, blocks=4) is None
    assert switch_ons_left(RunSettings(target_ms=0.9), four, blocks=4) is None


def test_minutes_left_come_from_the_time_and_from_the_flips():
    def minutes(settings, left):
        return minutes_left(settings, left, start_ns=0, now_ns=30 * 10**9, usual_spacing_ns=2e9)

    assert minutes(RunSettings(seconds=90.0), None) == pytest.approx(1.0)
    assert minutes(RunSettings(), 15) == pytest.approx(0.5)
    assert minutes(RunSettings(seconds=90.0), 15) == pytest.approx(0.5)
    assert minutes(RunSettings(), None) is None


def test_what_more_flips_cannot_narrow_is_taken_from_the_target_first():
    # A give or take of 2.6 ms, 2.4 of it from the flips and 1 ms from elsewhere, to come to 1.25 ms: the flips may
    # keep √(1.25² - 1²) = 0.75 ms. Plain: (2.4/0.75)² = 10.24 times as many; balanced: 3.2 times.
    now = FlipsSoFar(flips=48, answered=48, half_width_ms=2.6, balanced=False, rest_ms=1.0)
    assert flips_left(RunSettings(target_ms=1.25), now) == 510 - 48
    balanced = FlipsSoFar(flips=48, answered=48, half_width_ms=2.6, balanced=True, rest_ms=1.0)
    assert flips_left(RunSettings(target_ms=1.25), balanced) == 170 - 48


def test_a_target_below_the_rest_of_the_budget_is_out_of_reach():
    taped = FlipsSoFar(flips=50, answered=50, half_width_ms=10.1, balanced=False, rest_ms=10.0)
    assert out_of_reach(RunSettings(target_ms=1.0), taped)
    assert not out_of_reach(RunSettings(target_ms=10.05), taped)
    assert not out_of_reach(RunSettings(), taped)
    assert flips_left(RunSettings(target_ms=1.0), taped) is None
    assert flips_left(RunSettings(target_ms=1.0, flips=60), taped) == 10


def test_the_proposed_target_is_a_twentieth_of_the_frame_and_at_least_0_3_ms():
    assert proposed_target_ms(22.5) == pytest.approx(1.125)
    assert proposed_target_ms(4.0) == 0.3
    assert proposed_target_ms(None) is None
