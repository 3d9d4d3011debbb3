"""The one gate before a run."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchapp.procedures.gate import (
    GRAVE_LINES,
    PROPELLER_LINES,
    STALE_NS,
    OnBench,
    Refusal,
    SafetyLine,
    Why,
    advice_lines,
    gate,
    needed_lines,
    offered_lines,
    switching_lines,
)
from benchapp.records.run import Origin

A_MODEL = (OnBench.MOTOR, OnBench.COMBUSTION)
UNDOING = [Why.LEAD_CHANGED, Why.POWERED_UP, Why.ANSWER_CHANGED, Why.TEST_CHANGED]


def all_confirmed(at_ns: int, origin: Origin = Origin.PROBE) -> dict[str, int]:
    return {line.value: at_ns for line in offered_lines(origin)}


def test_on_the_practice_bench_one_line_is_needed_because_nothing_can_move():
    assert gate({}, 0, origin=Origin.PRACTICE) == (Refusal(line=SafetyLine.PRACTICE, why=Why.NOT_CONFIRMED),)
    assert gate({"practice": 5}, 10, origin=Origin.PRACTICE) == ()


def test_a_real_bench_is_refused_until_it_is_said_what_stands_on_it_whatever_was_confirmed():
    asked = (Refusal(line=SafetyLine.ON_BENCH, why=Why.NOT_CONFIRMED),)
    assert gate(all_confirmed(5), 10, origin=Origin.PROBE) == asked
    assert gate(all_confirmed(5) | {"on-bench": 5}, 10, origin=Origin.PROBE) == asked
    assert needed_lines(Origin.PROBE, None) == advice_lines(Origin.PROBE, None) == ()


@pytest.mark.parametrize("on_bench", list(OnBench))
def test_the_practice_line_is_no_substitute_on_a_real_bench(on_bench):
    refusals = gate({"practice": 5}, 10, origin=Origin.PROBE, on_bench=on_bench)
    assert [refusal.line for refusal in refusals] == list(needed_lines(Origin.PROBE, on_bench))
    assert {refusal.why for refusal in refusals} == {Why.NOT_CONFIRMED}


def test_receiver_and_servos_need_at_most_five_lines_and_the_first_says_that_no_motor_is_connected():
    lines = needed_lines(Origin.PROBE, OnBench.SERVOS)
    assert lines[0] is SafetyLine.RECEIVER_ONLY
    assert len(lines) <= 5
    assert not set(GRAVE_LINES) & set(lines)


def test_a_model_whose_motor_can_turn_needs_every_line_there_is():
    apart = {SafetyLine.ON_BENCH, SafetyLine.PRACTICE, SafetyLine.RECEIVER_ONLY}
    every = set(SafetyLine) - apart
    assert set(needed_lines(Origin.PROBE, OnBench.COMBUSTION)) == every
    assert set(needed_lines(Origin.PROBE, OnBench.MOTOR)) == every - {SafetyLine.COMBUSTION_OFF}


@pytest.mark.parametrize("on_bench", [OnBench.NO_PROPELLER, *A_MODEL])
def test_every_model_is_asked_about_its_propeller_and_about_what_starts_motors(on_bench):
    assert set(PROPELLER_LINES) <= set(needed_lines(Origin.PROBE, on_bench))


@pytest.mark.parametrize("on_bench", list(OnBench))
def test_what_can_maim_comes_first(on_bench):
    lines = needed_lines(Origin.PROBE, on_bench)
    grave = [line for line in lines if line in GRAVE_LINES]
    assert list(lines[: len(grave)]) == grave


@pytest.mark.parametrize("on_bench", list(OnBench))
def test_what_is_not_confirmed_is_advice_unless_it_is_about_another_bench(on_bench):
    needed, advice = needed_lines(Origin.PROBE, on_bench), advice_lines(Origin.PROBE, on_bench)
    assert not set(needed) & set(advice)
    about_other_benches = {SafetyLine.RECEIVER_ONLY, *GRAVE_LINES}
    assert set(offered_lines(Origin.PROBE)) - about_other_benches <= {*needed, *advice}


def test_nothing_confirmed_for_a_bench_without_a_motor_opens_the_gate_for_one_that_has_one():
    confirmed = dict.fromkeys(needed_lines(Origin.PROBE, OnBench.SERVOS), 5)
    assert gate(confirmed, 10, origin=Origin.PROBE, on_bench=OnBench.SERVOS) == ()
    for on_bench in (OnBench.NO_PROPELLER, *A_MODEL):
        refused = {refusal.line for refusal in gate(confirmed, 10, origin=Origin.PROBE, on_bench=on_bench)}
        assert set(PROPELLER_LINES) <= refused


@pytest.mark.parametrize(("age_ns", "stale"), [(STALE_NS, False), (STALE_NS + 1, True)])
def test_a_confirmation_holds_for_thirty_minutes_and_not_longer(age_ns, stale):
    refusals = gate(all_confirmed(7), 7 + age_ns, origin=Origin.PROBE, on_bench=OnBench.MOTOR)
    assert bool(refusals) is stale
    assert all(refusal.why is Why.STALE for refusal in refusals)


@pytest.mark.parametrize("why", UNDOING)
def test_whatever_changes_asks_everything_anew(why):
    motor = {"origin": Origin.PROBE, "on_bench": OnBench.MOTOR}
    assert gate(all_confirmed(10), 20, **motor, undone={why: 9}) == ()
    refusals = gate(all_confirmed(10), 20, **motor, undone={why: 10})
    assert {refusal.line for refusal in refusals} == set(needed_lines(Origin.PROBE, OnBench.MOTOR))
    assert {refusal.why for refusal in refusals} == {why}


def test_of_several_changes_the_last_is_told():
    undone = {Why.LEAD_CHANGED: 12, Why.POWERED_UP: 15, Why.TEST_CHANGED: 13}
    refusals = gate(all_confirmed(10), 20, origin=Origin.PROBE, on_bench=OnBench.MOTOR, undone=undone)
    assert {refusal.why for refusal in refusals} == {Why.POWERED_UP}


@pytest.mark.parametrize("why", UNDOING)
def test_on_the_practice_bench_nothing_can_move_in_any_test(why):
    refused = gate({"practice": 10}, 20, origin=Origin.PRACTICE, undone={why: 15})
    assert bool(refused) is (why in (Why.LEAD_CHANGED, Why.POWERED_UP))


def test_switching_reads_what_belongs_to_it_and_an_engine_where_there_is_one():
    assert set(PROPELLER_LINES) <= set(switching_lines(()))
    assert not set(PROPELLER_LINES) & set(switching_lines(("receiver-only",)))
    for confirmed in ((), ("receiver-only",)):
        assert SafetyLine.POWER_ORDER in switching_lines(confirmed)
        assert SafetyLine.COMBUSTION_OFF not in switching_lines(confirmed)
    assert switching_lines(("combustion-off",))[0] is SafetyLine.COMBUSTION_OFF


@given(
    confirmed=st.dictionaries(st.sampled_from([line.value for line in SafetyLine]), st.integers(0, 10**13)),
    now_ns=st.integers(0, 10**13),
    origin=st.sampled_from(list(Origin)),
    on_bench=st.none() | st.sampled_from(list(OnBench)),
)
def test_an_open_gate_means_every_needed_line_was_confirmed_within_thirty_minutes(confirmed, now_ns, origin, on_bench):
    if gate(confirmed, now_ns, origin=origin, on_bench=on_bench):
        return
    needed = needed_lines(origin, on_bench)
    assert needed
    assert all(now_ns - confirmed[line] <= STALE_NS for line in needed)
