"""Which flips belong to one switch-on."""

from dataclasses import replace

import pytest

from benchapp.reduction.comparing.comparing import WantedSet, compare
from tests.reduction.compared_sessions import RUN_S, answers, session
from tests.reduction.comparing_coverage import FREE, IN_STEP

BETWEEN_NS = (RUN_S - 1) * 10**9
"""After the first run's end, before the second's start."""


def power_ups_of(*sessions, taken=None):
    wanted = WantedSet(name="one", sessions=taken or tuple(range(len(sessions))))
    other = WantedSet(name="other", sessions=(0,))
    return compare(sessions, [wanted, other]).sets[0].power_ups


def runs(*blocks: int):
    return [answers(FREE, own, 6, seed=number) for number, own in enumerate(blocks)]


def places(found):
    return [(one.session, one.run, one.block, one.n) for one in found]


def test_the_blocks_of_one_run_are_distinct():
    assert places(power_ups_of(session(runs(3), FREE))) == [(0, 1, 0, 6), (0, 1, 1, 6), (0, 1, 2, 6)]


def test_the_last_block_of_a_run_and_the_first_of_the_next_are_one_switch_on():
    assert places(power_ups_of(session(runs(2, 2), FREE))) == [(0, 1, 0, 6), (0, 1, 1, 12), (0, 2, 1, 6)]


def test_they_are_two_where_somebody_said_in_between_that_it_was_switched_off_and_on():
    assert len(power_ups_of(session(runs(2, 2), FREE, switched_on_ns=(BETWEEN_NS,)))) == 4


@pytest.mark.parametrize("at_ns", [0, 10**9, (RUN_S + 1) * 10**9])
def test_said_at_another_time_it_parts_nothing_there(at_ns):
    assert len(power_ups_of(session(runs(2, 2), FREE, switched_on_ns=(at_ns,)))) == 3


def test_three_runs_in_one_switch_on_are_one():
    (one,) = power_ups_of(session(runs(1, 1, 1), FREE))
    assert places([one]) == [(0, 1, 0, 18)]
    assert one.joined == ((0, 2), (0, 3))


def test_two_sessions_are_one_switch_on_unless_they_are_known_to_be_distinct():
    one, other = session(runs(2), FREE), session(runs(2), FREE)
    assert places(power_ups_of(one, other)) == [(0, 1, 0, 6), (0, 1, 1, 12), (1, 1, 1, 6)]
    assert len(power_ups_of(one, replace(other, fresh=True))) == 4


def test_a_session_that_says_so_before_its_first_run_is_distinct():
    said = session(runs(2), FREE, switched_on_ns=(0,))
    late = session(runs(2), FREE, switched_on_ns=(10**9,))
    assert len(power_ups_of(session(runs(2), FREE), said)) == 4
    assert len(power_ups_of(session(runs(2), FREE), late)) == 3


def test_a_run_whose_first_switch_on_had_no_answer_joins_nothing():
    later = [trial for trial in answers(FREE, 2, 6) if trial.block == 1]
    assert len(power_ups_of(session([answers(FREE, 2, 6), later], FREE))) == 3


def test_a_switch_on_carries_its_mean_and_the_interval_of_its_own_flips():
    (one,) = power_ups_of(session([answers(FREE, 1, 20)], FREE))
    times = [trial.mid_ms for trial in one.trials]
    assert one.mean_ms == pytest.approx(sum(times) / 20)
    assert one.half_ms is not None
    assert one.half_ms > 0
    assert one.frame_ms == 9.0


def test_a_switch_on_of_a_set_in_step_steps_once_and_one_of_a_free_set_does_not():
    assert all(one.steps_once for one in power_ups_of(session([answers(IN_STEP, 4, 30)], IN_STEP)))
    assert not any(one.steps_once for one in power_ups_of(session([answers(FREE, 4, 40)], FREE)))


def test_stragglers_are_no_part_of_a_switch_on():
    trials = answers(FREE, 1, 30)
    trials[7] = replace(trials[7], mid_ms=trials[7].mid_ms + 200.0)
    (one,) = power_ups_of(session([trials], FREE))
    assert one.n == 29
    assert max(trial.mid_ms for trial in one.trials) < 60
