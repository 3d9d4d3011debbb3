"""The one gate before a run."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchapp.procedures.gate import (
    PROPELLER_LINES,
    STALE_NS,
    Refusal,
    SafetyLine,
    Why,
    gate,
    needed_lines,
    offered_lines,
)
from benchapp.records.run import Origin


def all_confirmed(at_ns: int, origin: Origin = Origin.PROBE) -> dict[str, int]:
    return {line.value: at_ns for line in offered_lines(origin)}


def test_on_the_practice_bench_one_line_is_needed_because_nothing_can_move():
    assert gate({}, 0, origin=Origin.PRACTICE) == (Refusal(line=SafetyLine.PRACTICE, why=Why.NOT_CONFIRMED),)
    assert gate({"practice": 5}, 10, origin=Origin.PRACTICE) == ()


def test_a_probe_needs_every_line_and_the_practice_line_is_no_substitute():
    refusals = gate({"practice": 5}, 10, origin=Origin.PROBE)
    assert [refusal.line for refusal in refusals] == list(needed_lines(Origin.PROBE, receiver_only=False))
    assert {refusal.why for refusal in refusals} == {Why.NOT_CONFIRMED}


def test_the_first_line_shown_is_the_safest_bench():
    assert offered_lines(Origin.PROBE)[0] is SafetyLine.RECEIVER_ONLY


def test_nothing_that_drives_a_motor_folds_the_propeller_lines_away():
    confirmed = {line: at for line, at in all_confirmed(5).items() if line not in PROPELLER_LINES}
    assert gate(confirmed, 10, origin=Origin.PROBE) == ()


def test_where_something_drives_a_motor_the_propeller_lines_are_needed_instead():
    confirmed = {line: at for line, at in all_confirmed(5).items() if line != SafetyLine.RECEIVER_ONLY}
    assert gate(confirmed, 10, origin=Origin.PROBE) == ()
    del confirmed[SafetyLine.PROPELLER_OFF]
    assert [refusal.line for refusal in gate(confirmed, 10, origin=Origin.PROBE)] == [SafetyLine.PROPELLER_OFF]


@pytest.mark.parametrize(("age_ns", "stale"), [(STALE_NS, False), (STALE_NS + 1, True)])
def test_a_confirmation_holds_for_thirty_minutes_and_not_longer(age_ns, stale):
    refusals = gate(all_confirmed(7), 7 + age_ns, origin=Origin.PROBE)
    assert bool(refusals) is stale
    assert all(refusal.why is Why.STALE for refusal in refusals)


def test_a_changed_lead_asks_everything_anew():
    assert gate(all_confirmed(10), 20, origin=Origin.PROBE, lead_changed_ns=9) == ()
    refusals = gate(all_confirmed(10), 20, origin=Origin.PROBE, lead_changed_ns=10)
    assert {refusal.why for refusal in refusals} == {Why.LEAD_CHANGED}


def test_a_power_up_of_the_model_asks_everything_anew():
    refusals = gate(all_confirmed(10), 20, origin=Origin.PROBE, powered_up_ns=15)
    assert {refusal.why for refusal in refusals} == {Why.POWERED_UP}


@given(
    confirmed=st.dictionaries(st.sampled_from([line.value for line in SafetyLine]), st.integers(0, 10**13)),
    now_ns=st.integers(0, 10**13),
    origin=st.sampled_from(list(Origin)),
)
def test_an_open_gate_means_every_needed_line_was_confirmed_within_thirty_minutes(confirmed, now_ns, origin):
    if gate(confirmed, now_ns, origin=origin):
        return
    needed = needed_lines(origin, receiver_only=SafetyLine.RECEIVER_ONLY in confirmed)
    assert all(now_ns - confirmed[line] <= STALE_NS for line in needed)
