"""The model's power-up undoes every confirmation: on a real bench, at the gate, for the next run."""

import pytest

from benchapp.acquisition.safety import Confirmations
from benchapp.procedures.gate import OnBench, SafetyLine, Why, needed_lines
from benchapp.records.errors import SafetyRefused, WrongCall
from benchapp.records.run import Origin

S = 1_000_000_000


def confirmed(on_bench: OnBench) -> Confirmations:
    confirmations = Confirmations()
    confirmations.say_on_bench(on_bench, S)
    for line in needed_lines(Origin.PROBE, on_bench):
        confirmations.confirm(line.value, S, yes=True)
    return confirmations


@pytest.mark.parametrize("origin", [Origin.PROBE, Origin.PRACTICE])
@pytest.mark.parametrize("on_bench", list(OnBench))
def test_no_line_holds_any_more_after_a_power_up_until_it_is_given_again(origin, on_bench):
    lines = needed_lines(origin, on_bench)
    confirmations = confirmed(on_bench)
    confirmations.confirm("practice", S, yes=True)
    told = {line.value for line in lines} | ({"on-bench"} if origin is Origin.PROBE else set())
    assert set(confirmations.demand(origin, 2 * S)) == told
    confirmations.powered_up(3 * S)
    refusals = confirmations.refusals(origin, 4 * S)
    assert [refusal.line for refusal in refusals] == list(lines)
    assert {refusal.why for refusal in refusals} == {Why.POWERED_UP}
    with pytest.raises(SafetyRefused, match="powered-up"):
        confirmations.demand(origin, 4 * S)
    for line in lines[1:]:
        confirmations.confirm(line.value, 5 * S, yes=True)
    assert [refusal.line for refusal in confirmations.refusals(origin, 6 * S)] == [lines[0]]
    confirmations.confirm(lines[0].value, 6 * S, yes=True)
    assert confirmations.refusals(origin, 7 * S) == ()


def test_a_power_up_undoes_that_no_motor_is_connected_as_well():
    confirmations = confirmed(OnBench.SERVOS)
    confirmations.powered_up(2 * S)
    assert SafetyLine.RECEIVER_ONLY in {refusal.line for refusal in confirmations.refusals(Origin.PROBE, 3 * S)}


def test_what_was_confirmed_at_the_moment_of_the_power_up_itself_came_after_it():
    confirmations = Confirmations()
    confirmations.confirm("practice", S, yes=True)
    confirmations.powered_up(2 * S)
    confirmations.confirm("practice", 2 * S, yes=True)
    assert confirmations.refusals(Origin.PRACTICE, 3 * S) == ()


# What else asks anew -------------------------------------------------------------------------------------------------


def whys(confirmations: Confirmations, at_ns: int) -> set[Why]:
    return {refusal.why for refusal in confirmations.refusals(Origin.PROBE, at_ns)}


def test_another_answer_asks_every_line_of_the_new_bench_and_the_same_one_again_asks_nothing():
    confirmations = confirmed(OnBench.MOTOR)
    confirmations.say_on_bench("motor", 2 * S)
    assert whys(confirmations, 3 * S) == set()
    confirmations.say_on_bench("no-propeller", 4 * S)
    assert confirmations.on_bench is OnBench.NO_PROPELLER
    assert whys(confirmations, 5 * S) == {Why.ANSWER_CHANGED}
    confirmations.say_on_bench("motor", 6 * S)
    assert len(confirmations.refusals(Origin.PROBE, 7 * S)) == len(needed_lines(Origin.PROBE, OnBench.MOTOR))


def test_the_lines_hold_for_the_test_that_was_run_and_are_asked_again_for_another():
    confirmations = confirmed(OnBench.SERVOS)
    confirmations.choose_test("hold-still", 2 * S)  # none was run yet: the lines hold for whichever is chosen
    confirmations.demand(Origin.PROBE, 2 * S, "switch-flip")
    confirmations.demand(Origin.PROBE, 3 * S, "switch-flip")
    with pytest.raises(SafetyRefused, match="test-changed"):
        confirmations.demand(Origin.PROBE, 4 * S, "stick-sweep")
    for line in needed_lines(Origin.PROBE, OnBench.SERVOS):
        confirmations.confirm(line.value, 5 * S, yes=True)
    confirmations.demand(Origin.PROBE, 6 * S, "stick-sweep")
    confirmations.choose_test("switch-flip", 7 * S)
    assert whys(confirmations, 8 * S) == {Why.TEST_CHANGED}


def test_another_set_on_the_bench_begins_with_the_question():
    confirmations = confirmed(OnBench.SERVOS)
    confirmations.bench_changed()
    assert confirmations.on_bench is None
    assert [refusal.line for refusal in confirmations.refusals(Origin.PROBE, 2 * S)] == [SafetyLine.ON_BENCH]


def test_the_question_cannot_be_confirmed_like_a_line_and_no_other_bench_is_known():
    confirmations = Confirmations()
    with pytest.raises(WrongCall, match="no safety line"):
        confirmations.confirm("on-bench", S, yes=True)
    with pytest.raises(WrongCall, match="no bench"):
        confirmations.say_on_bench("a hovercraft", S)
    assert confirmations.on_bench is None


def test_a_lead_that_changed_after_a_power_up_does_not_hide_it():
    confirmations = confirmed(OnBench.MOTOR)
    confirmations.powered_up(2 * S)
    confirmations.lead_changed(3 * S)
    with pytest.raises(SafetyRefused, match="switched on again"):
        confirmations.demand_again(Origin.PROBE, 4 * S)
