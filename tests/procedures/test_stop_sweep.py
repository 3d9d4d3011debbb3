"""A sweep by stops, told the time."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchapp.procedures.asked_settings import PRESETS, preset_stops_deg
from benchapp.procedures.ground.moments import Seen
from benchapp.procedures.ground.procedure import Procedure
from benchapp.procedures.ground.progress import Prompt, StopReason
from benchapp.procedures.ground.table import State
from benchapp.procedures.named import check_settings
from benchapp.procedures.sweep.by_stops import SPAN_NS, TABLE, StopState
from benchapp.procedures.sweep.run_part import begin as begin_sweep
from benchapp.procedures.sweep.stops import visited
from benchapp.records.errors import WrongCall
from benchapp.records.events import EventKind
from benchapp.records.run import RunSettings
from tests.procedures.told_stick import MS, OUTPUT, S, ToldStick, only, plan, play, stops_way

FIVE = (-30.0, -15.0, 0.0, 15.0, 30.0)
UP_DOWN = (0.0, 0.25, 0.5, 0.75, 1.0, 0.75, 0.5, 0.25, 0.0)


def started(**changes) -> Procedure:
    told = changes.pop("told", RunSettings(stops_deg=FIVE, cycles=1))
    return begin_sweep(plan("stick-sweep", told, **{"takes_itself": True, **changes}))


def stepped(places=UP_DOWN, **words) -> ToldStick:
    seen = {key: words.pop(key) for key in ("quiet", "noise_us", "period_s", "delay_s") if key in words}
    way = stops_way(places, **words)
    return ToldStick(way=way, seconds=way[-1][0] + 1, **seen)


def taken(events):
    return [event for event in events if event.kind is EventKind.STOP_TAKEN]


def degrees(events):
    return [event.detail["position_deg"] for event in taken(events)]


# The plan of the positions ----------------------------------------------------------------------------------------


def test_positions_are_visited_up_and_down_the_ends_once_a_turn():
    assert [visited((1.0, 2.0, 4.0), number) for number in range(9)] == [
        (1.0, True),
        (2.0, True),
        (4.0, True),
        (2.0, False),
        (1.0, False),
        (2.0, True),
        (4.0, True),
        (2.0, False),
        (1.0, False),
    ]


@pytest.mark.parametrize("count", PRESETS)
def test_presets_are_even_and_reach_from_end_to_end(count):
    stops = preset_stops_deg(count)
    assert (len(stops), stops[0], stops[-1]) == (count, -30.0, 30.0)
    assert stops[count // 2] == 0.0
    check_settings("stick-sweep", RunSettings(stops_deg=stops, cycles=3))


@pytest.mark.parametrize(
    ("told", "named"),
    [
        ({"stops_deg": (0.0, 1.0, 2.0, 3.0)}, "5 to 101 positions; 4"),
        ({"stops_deg": (0.0, 1.0, 1.0, 2.0, 3.0)}, "rising order"),
        ({"stops_deg": (5.0, 4.0, 3.0, 2.0, 1.0)}, "rising order"),
        ({"stops_deg": tuple(map(float, range(102)))}, "102"),
        ({"cycles": 0}, "cycles"),
        ({"seconds": 0.0}, "0 s"),
        ({"positions": -1}, "positions"),
    ],
)
def test_settings_that_make_no_sense_are_refused(told, named):
    with pytest.raises(WrongCall, match=named):
        check_settings("stick-sweep", RunSettings(**told))


def test_every_state_can_be_reached_and_every_open_one_ended():
    found = {State.WAITING_FOR_PULSES}
    while fresh := {after for (before, _), after in TABLE.rows.items() if before in found} - found:
        found |= fresh
    assert found == {*State, *StopState}
    for state in TABLE.open:
        assert all(TABLE.rows[state, seen] is State.ENDED for seen in (Seen.STOP, Seen.BROKE, Seen.GIVE_UP))


# Stops taken by themselves ----------------------------------------------------------------------------------------


def test_every_stop_is_taken_up_and_down_and_then_it_is_complete():
    run = started()
    events = play(run, stepped())
    assert degrees(events) == [-30, -15, 0, 15, 30, 15, 0, -15, -30]
    stop = only(events, EventKind.RUN_STOP)
    assert (stop.detail["outcome"], stop.detail["reason"]) == ("complete", "all-stops")
    assert run.progress().stick.stops == run.progress().stick.stops_wanted == 9


def test_a_stop_is_a_span_in_which_the_stick_had_stood_still_for_long():
    stick = stepped()
    holds = [(a, b) for (a, one), (b, other) in zip(stick.way, stick.way[1:], strict=False) if one == other]
    for event, (begin, end) in zip(taken(play(started(), stick)), holds, strict=True):
        assert event.at_ns == event.detail["to_ns"]
        assert event.detail["to_ns"] - event.detail["from_ns"] == SPAN_NS
        # The first hold begins before the run; nothing is known of it.
        assert begin == 0 or event.detail["from_ns"] / 1e9 - begin >= 0.25
        assert event.detail["to_ns"] / 1e9 <= end


def test_the_pulses_are_waited_for_as_well_as_the_stick():
    # A link that shows the stick 0.6 s late: the output still moves while the stick has long stopped.
    for delay_s, soonest_s, latest_s in ((0.02, 0.25, 0.45), (0.6, 0.5, 0.8)):
        stick = stepped(delay_s=delay_s, hold_s=2.4)
        begun = [at for at, _ in stick.way[2::2]]
        for event, begin in zip(taken(play(started(), stick))[1:], begun, strict=True):
            assert soonest_s <= event.detail["from_ns"] / 1e9 - begin <= latest_s


def test_a_hold_that_is_too_short_is_not_taken():
    events = taken(play(started(), stepped(hold_s=0.5)))
    assert [event.at_ns for event in events if event.at_ns < 9 * S] == [650 * MS]


def test_an_output_that_never_rests_is_taken_after_three_seconds():
    events = taken(play(started(), stepped(hold_s=5.0, noise_us=25.0)))
    assert len(events) == 9
    assert all((b.at_ns - a.at_ns) / 1e9 >= 3.0 for a, b in itertools.pairwise(events))


def test_the_next_position_and_its_direction_are_shown():
    shown = []

    def note(run, _):
        here = run.progress()
        if here.prompt is Prompt.SET_STOP and (here.stick.next_deg, here.stick.rising) not in shown[-1:]:
            shown.append((here.stick.next_deg, here.stick.rising))

    play(started(), stepped(), seen=note)
    assert shown[-8:] == [
        (-15, True),
        (0, True),
        (15, True),
        (30, True),
        (15, False),
        (0, False),
        (-15, False),
        (-30, False),
    ]


def test_cycles_are_counted_at_the_low_end():
    run = started(told=RunSettings(stops_deg=FIVE, cycles=2))
    stick = stepped((*UP_DOWN, *UP_DOWN[1:]))
    counted = []
    play(run, stick, seen=lambda run, _: counted.append((run.progress().stick.stops, run.progress().stick.cycles)))
    assert (8, 0) in counted
    assert (9, 1) in counted
    assert run.progress().stick.cycles == 2
    assert run.progress().outcome == "complete"


@settings(max_examples=10, deadline=None)
@given(st.lists(st.integers(20, 18_000), min_size=1, max_size=30))
def test_any_cut_of_the_records_logs_the_same_events(places):
    stick = stepped()
    cuts = [ms * MS for ms in sorted(set(places))] + [round(stick.seconds * S) + S]
    assert play(started(), stick, cuts_ns=cuts) == play(started(), stick)


# Past the mark ----------------------------------------------------------------------------------------------------


def test_a_stop_that_was_passed_is_not_taken_until_it_is_come_to_again():
    # Up to the second stop by way of 0.32, then back to 0.15 and up to it properly.
    way = [(0, 0), (2, 0), (2.6, 0.32), (2.9, 0.25), (5, 0.25), (5.4, 0.15), (5.8, 0.25), (7.5, 0.25)]
    prompts = []
    run = started()
    events = play(run, ToldStick(way=way, seconds=7.5), seen=lambda run, now: prompts.append((now, run.progress())))
    assert degrees(events) == [-30, -15]
    assert taken(events)[1].detail["from_ns"] / 1e9 > 5.8
    assert {p.prompt for now, p in prompts if 4 * S < now < 5 * S} == {Prompt.WENT_PAST}


def test_going_back_too_little_is_not_enough():
    way = [(0, 0), (2, 0), (2.6, 0.32), (2.9, 0.25), (5, 0.25), (5.4, 0.28), (5.8, 0.25), (7.5, 0.25)]
    assert len(taken(play(started(), ToldStick(way=way, seconds=7.5)))) == 1


def test_downward_the_other_side_is_past():
    way = [*stops_way(UP_DOWN[:5]), (10.5, 1.0), (11.2, 0.68), (11.5, 0.75), (13.5, 0.75)]
    events = play(started(), ToldStick(way=way, seconds=13.5))
    assert degrees(events) == [-30, -15, 0, 15, 30]


# Stops taken when told --------------------------------------------------------------------------------------------


def told_at(*seconds):
    def tell(run, now):
        if any(abs(now - at * S) < 10 * MS for at in seconds):
            run.ask(Seen.TAKE, now)

    return tell


def test_with_somebody_there_nothing_is_taken_before_they_say_so():
    run = started(takes_itself=False)
    assert taken(play(run, stepped())) == []
    assert run.progress().prompt is Prompt.SET_STOP


def test_told_while_the_stick_is_still_it_is_taken_at_once():
    events = taken(play(started(takes_itself=False), stepped(), seen=told_at(1.0, 3.6)))
    assert [round(event.at_ns / 1e9, 1) for event in events] == [1.0, 3.6]
    assert degrees(events) == [-30, -15]


def test_told_while_it_moves_it_has_to_be_told_again_or_waits_for_stillness():
    run = started(takes_itself=False)
    events = taken(play(run, stepped(), seen=told_at(1.0, 2.2)))
    assert degrees(events) == [-30, -15]
    assert events[1].at_ns / 1e9 >= 2.5 + 0.65


def test_without_a_lead_on_the_stick_the_pulses_tell():
    run = started(leads={"output": OUTPUT})
    assert degrees(play(run, stepped())) == [-30, -15, 0, 15, 30, 15, 0, -15, -30]


def test_without_a_lead_neighbours_of_one_value_can_still_be_taken_when_told():
    run = started(leads={"output": OUTPUT}, takes_itself=False)
    flat = ToldStick(way=[(0, 0.5), (9, 0.5)], seconds=9)
    assert degrees(play(run, flat, seen=told_at(1, 3, 5))) == [-30, -15, 0]


# Dropped and set anew ---------------------------------------------------------------------------------------------


def dropped(run, stick, at_s, then=lambda run, now: None):
    logged = []

    def drop(run, now):
        if now == round(at_s * S):
            logged.extend(run.drop(now))
        then(run, now)

    return play(run, stick, seen=drop), logged


def test_the_last_stop_can_be_dropped_and_is_asked_for_again():
    run = started(takes_itself=False)
    stick = ToldStick(way=[(0, 0), (2, 0), (2.6, 0.25), (9, 0.25)], seconds=9)
    events, (drop,) = dropped(run, stick, 5, told_at(1, 4, 6))
    assert degrees(events) == [-30, -15, -15]
    assert drop.detail == {"flip_ns": taken(events)[1].detail["to_ns"]}
    assert run.progress().stick.stops == 2
    assert run.progress().stick.next_deg == 0
    assert run.progress().dropped == 1


def test_a_drop_can_be_taken_back_until_the_stop_was_set_anew():
    run = started(takes_itself=False)
    stick = ToldStick(way=[(0, 0), (2, 0), (2.6, 0.25), (9, 0.25)], seconds=9)
    logged, counted = [], []

    def act(run, now):
        told_at(1, 4)(run, now)
        if now == 5 * S:
            run.drop(now)
        if now == 6 * S:
            logged.extend(run.undrop(now))

        if now == 7 * S:
            counted.append((run.progress().stick.stops, run.progress().dropped))
            run.drop(now)
            run.ask(Seen.TAKE, now)

    play(run, stick, seen=act)
    assert [event.kind for event in logged] == [EventKind.UNDROP]
    assert counted == [(2, 0)]
    assert (run.progress().stick.stops, run.progress().dropped) == (2, 1)
    assert run.undrop(9 * S) == []


def test_a_stop_dropped_after_the_end_stays_dropped():
    run = started()
    play(run, stepped())
    (drop,) = run.drop(99 * S)
    assert drop.kind is EventKind.DROP
    assert run.progress().stick.stops == 9


# Pauses -----------------------------------------------------------------------------------------------------------


def test_bad_signal_pauses_and_alone_it_goes_on_where_it_was():
    run = started(alone=True)
    way = stops_way((*UP_DOWN[:3], *UP_DOWN[2:]))
    stick = ToldStick(way=way, seconds=way[-1][0] + 1, quiet=[(5.2, 6.4)])
    events = play(run, stick)
    assert degrees(events) == [-30, -15, 0, 15, 30, 15, 0, -15, -30]
    pause = only(events, EventKind.PAUSE)
    assert pause.detail == {"reason": "bad-signal"}
    assert not any(pause.at_ns < event.detail["to_ns"] < 6.4 * S for event in taken(events))


def test_alone_a_stick_that_is_never_set_ends_it():
    run = started(alone=True)
    stop = only(play(run, ToldStick(way=[(0, 0), (1, 0)], seconds=140)), EventKind.RUN_STOP)
    assert stop.detail["reason"] == StopReason.NO_MOVES


def test_seconds_end_it_complete():
    run = started(told=RunSettings(stops_deg=FIVE, seconds=6.0))
    events = play(run, stepped())
    assert only(events, EventKind.RUN_STOP).at_ns == 6 * S
    assert run.progress().outcome == "complete"
    assert run.progress().stick.stops_wanted is None
