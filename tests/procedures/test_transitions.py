"""The table of a switch-flip run."""

import pytest

from benchapp.procedures.flips.table import TABLE, FlipState
from benchapp.procedures.ground.moments import Seen
from benchapp.procedures.ground.table import State

PAUSES = {state for state in TABLE.prompts if TABLE.is_pause(state)}


def reachable_from(start: State) -> set[State]:
    found, fresh = {start}, {start}
    while fresh:
        fresh = {after for (before, _), after in TABLE.rows.items() if before in fresh} - found
        found |= fresh
    return found


def test_every_state_can_be_reached():
    assert reachable_from(State.WAITING_FOR_PULSES) == {*State, *FlipState}


def test_an_ended_run_stays_ended():
    assert not [key for key in TABLE.rows if key[0] is State.ENDED]


@pytest.mark.parametrize("state", TABLE.open)
@pytest.mark.parametrize("seen", [Seen.STOP, Seen.BROKE, Seen.GIVE_UP])
def test_every_open_run_can_be_ended_and_kept(state, seen):
    assert TABLE.rows[state, seen] is State.ENDED


@pytest.mark.parametrize("state", sorted(PAUSES))
def test_a_paused_run_counts_no_flip(state):
    assert (state, Seen.FLIP) not in TABLE.rows
    assert (state, Seen.LAST_FLIP) not in TABLE.rows


@pytest.mark.parametrize("state", sorted(PAUSES - {State.REGAINING}))
def test_a_pause_ends_only_by_carrying_on_and_then_with_steady_pulses(state):
    out = {
        seen for (before, seen), after in TABLE.rows.items() if before is state and after not in PAUSES | {State.ENDED}
    }
    assert out == set()
    assert TABLE.rows[state, Seen.CARRY_ON] is State.REGAINING
    assert TABLE.rows[State.REGAINING, Seen.PULSES_STEADY] is FlipState.AWAITING_FLIP


@pytest.mark.parametrize("state", [FlipState.AWAITING_FLIP, FlipState.AWAITING_ANSWER])
def test_bad_signal_pauses_a_run_that_measures(state):
    assert TABLE.rows[state, Seen.PULSES_LOST] is State.PAUSED


def test_bad_signal_while_the_last_answer_is_due_ends_the_run():
    assert TABLE.rows[FlipState.LAST_ANSWER, Seen.PULSES_LOST] is State.ENDED
