"""The model's power-up undoes every confirmation: on a real bench, at the gate, for the next run."""

import pytest

from benchapp.acquisition.safety import Confirmations
from benchapp.procedures.gate import SafetyLine, Why, needed_lines
from benchapp.records.errors import SafetyRefused
from benchapp.records.run import Origin

S = 1_000_000_000


@pytest.mark.parametrize("origin", [Origin.PROBE, Origin.PRACTICE])
@pytest.mark.parametrize("receiver_only", [True, False])
def test_no_line_holds_any_more_after_a_power_up_until_it_is_given_again(origin, receiver_only):
    lines = needed_lines(origin, receiver_only=receiver_only)
    confirmations = Confirmations()
    for line in lines:
        confirmations.confirm(line.value, S, yes=True)
    assert set(confirmations.demand(origin, 2 * S)) == {line.value for line in lines}
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
    confirmations = Confirmations()
    for line in needed_lines(Origin.PROBE, receiver_only=True):
        confirmations.confirm(line.value, S, yes=True)
    confirmations.powered_up(2 * S)
    assert SafetyLine.RECEIVER_ONLY in {refusal.line for refusal in confirmations.refusals(Origin.PROBE, 3 * S)}


def test_what_was_confirmed_at_the_moment_of_the_power_up_itself_came_after_it():
    confirmations = Confirmations()
    confirmations.confirm("practice", S, yes=True)
    confirmations.powered_up(2 * S)
    confirmations.confirm("practice", 2 * S, yes=True)
    assert confirmations.refusals(Origin.PRACTICE, 3 * S) == ()
