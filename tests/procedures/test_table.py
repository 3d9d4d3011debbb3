"""The rows that the table of every test has."""

from enum import StrEnum

import pytest

from benchapp.procedures.flips.table import TABLE as FLIPS
from benchapp.procedures.ground.moments import Seen
from benchapp.procedures.ground.progress import Prompt
from benchapp.procedures.ground.table import State, table_of
from benchapp.procedures.hold.course import TABLE as HOLD
from benchapp.procedures.sweep.by_stops import TABLE as STOPS
from benchapp.procedures.sweep.continuous import TABLE as SWEEP


class Own(StrEnum):
    MEASURING = "measuring"
    LAST = "last"
    BREAK = "break"


def table(rows=None):
    own = {Own.MEASURING: Prompt.FLIP_NOW, Own.LAST: Prompt.LAST_ANSWER, Own.BREAK: Prompt.CARRY_ON}
    ends = {(Own.MEASURING, Seen.ENOUGH): State.ENDED, **(rows or {})}
    return table_of(ends, own, ready=Own.MEASURING, apart=(Own.LAST, Own.BREAK), pauses={Own.BREAK: "a break"})


@pytest.mark.parametrize("state", [State.WAITING_FOR_PULSES, State.REGAINING])
def test_steady_pulses_make_a_run_ready(state):
    assert table().after(state, Seen.PULSES_STEADY) is Own.MEASURING


def test_bad_signal_and_a_hand_pause_a_run_that_measures():
    assert table().after(Own.MEASURING, Seen.PULSES_LOST) is State.PAUSED
    assert table().after(Own.MEASURING, Seen.HAND_PAUSE) is State.PAUSED
    assert table().after(State.WAITING_FOR_PULSES, Seen.PULSES_LOST) is None


@pytest.mark.parametrize("seen", [Seen.PULSES_LOST, Seen.HAND_PAUSE, Seen.TIME_OVER])
def test_a_state_apart_is_left_by_none_of_these(seen):
    assert table().after(Own.LAST, seen) is None


def test_a_pause_is_left_by_carrying_on_and_then_by_steady_pulses():
    assert table().after(State.PAUSED, Seen.PULSES_STEADY) is None
    assert table().after(State.PAUSED, Seen.CARRY_ON) is State.REGAINING


def test_a_row_of_the_test_s_own_goes_before_that_of_every_run():
    assert table({(Own.MEASURING, Seen.TIME_OVER): Own.LAST}).after(Own.MEASURING, Seen.TIME_OVER) is Own.LAST
    assert table().after(Own.MEASURING, Seen.TIME_OVER) is State.ENDED


def test_no_row_of_a_test_s_own_keeps_a_run_from_being_ended():
    kept = table({(Own.LAST, Seen.STOP): Own.MEASURING})
    assert all(kept.after(state, Seen.STOP) is State.ENDED for state in kept.open)


def test_which_states_are_pauses():
    assert {state for state in table().prompts if table().is_pause(state)} == {
        State.PAUSED,
        State.REGAINING,
        Own.BREAK,
    }


@pytest.mark.parametrize("whole", [FLIPS, SWEEP, STOPS, HOLD])
def test_every_state_that_a_row_names_has_its_prompt(whole):
    named = {state for state, _ in whole.rows} | set(whole.rows.values())
    assert named == set(whole.prompts)
