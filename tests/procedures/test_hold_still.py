"""A hold-still, told the time."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchapp.procedures.ground.moments import Seen
from benchapp.procedures.ground.procedure import Procedure
from benchapp.procedures.ground.progress import Prompt, StopReason
from benchapp.procedures.ground.table import State
from benchapp.procedures.hold.course import TABLE, HoldState
from benchapp.procedures.hold.run_part import begin
from benchapp.records.events import EventKind
from benchapp.records.run import Pause, RunSettings
from tests.procedures.told_stick import MS, OUTPUT, S, ToldStick, only, plan, play, stops_way


def started(**changes) -> Procedure:
    told = changes.pop("told", RunSettings(seconds=10.0))
    return begin(plan("hold-still", told, **changes))


def still(seconds=40, **words) -> ToldStick:
    return ToldStick(way=[(0, 0.4), (1, 0.4)], seconds=seconds, **words)


def broken_off(events) -> list[Pause]:
    """Return the pauses but the first: until all is still."""
    first, *found = pauses(events)
    assert first.reason == "settling"
    assert first.from_ns == 0
    return found


def pauses(events) -> list[Pause]:
    found, begun = [], None
    for event in events:
        if event.kind is EventKind.PAUSE:
            begun = event
        elif event.kind is EventKind.RESUME and begun is not None:
            found.append(Pause(from_ns=begun.at_ns, to_ns=event.at_ns, reason=begun.detail["reason"]))
            begun = None
    return found


def test_every_state_can_be_reached_and_every_open_one_ended():
    found = {State.WAITING_FOR_PULSES}
    while fresh := {after for (before, _), after in TABLE.rows.items() if before in found} - found:
        found |= fresh
    assert found == {*State, *HoldState}
    for state in TABLE.open:
        assert all(TABLE.rows[state, seen] is State.ENDED for seen in (Seen.STOP, Seen.BROKE, Seen.GIVE_UP))


def test_it_ends_complete_when_it_was_held_for_the_time_asked_for():
    run = started()
    events = play(run, still())
    stop = only(events, EventKind.RUN_STOP)
    assert stop.detail == {"outcome": "complete", "reason": "time-over", "stopped_itself": False}
    assert stop.at_ns / 1e9 == pytest.approx(11.09, abs=0.03)  # from a second after the fifth pulse on
    kinds = [EventKind.RUN_START, EventKind.PAUSE, EventKind.RESUME, EventKind.RUN_STOP]
    assert [event.kind for event in events] == kinds
    assert broken_off(events) == []
    shown = run.progress().stick
    assert (shown.held_s, shown.hold_s, shown.position, shown.positions) == (pytest.approx(10.0), 10.0, 1, None)


def test_without_a_lead_on_the_stick_it_holds_just_the_same():
    run = started(leads={"output": OUTPUT})
    # A hand moves the stick, and nobody can tell: what the output does is what is measured.
    events = play(run, ToldStick(way=[(0, 0.4), (4, 0.4), (5, 0.9)], seconds=40))
    assert broken_off(events) == []
    assert run.progress().outcome == "complete"


def test_without_seconds_it_lasts_until_a_hand_ends_it():
    run = started(told=RunSettings())

    def stop(run, now):
        if now == 30 * S:
            run.ask(Seen.STOP, now)

    assert only(play(run, still(), seen=stop), EventKind.RUN_STOP).at_ns == 30 * S


def test_the_time_held_is_shown_as_it_goes():
    held = []
    play(started(), still(), seen=lambda run, now: held.append(run.progress().stick.held_s))
    assert held[0] == 0.0
    assert held[-1] == 10.0
    assert held == sorted(held)
    assert held[250] == pytest.approx(3.9, abs=0.2)


TOUCHED = [(0, 0.4), (4, 0.4), (4.3, 0.6), (5.0, 0.6)]


def test_a_touch_is_a_pause_from_before_it_was_seen_until_a_second_after_it():
    run = started()
    events = play(run, ToldStick(way=TOUCHED, seconds=40))
    (pause,) = broken_off(events)
    assert pause.reason == "touched"
    assert 3.7 <= pause.from_ns / 1e9 <= 4.05
    # Still again from 4.3 s on, seen 0.3 s later, and a second to let go.
    assert 5.3 <= pause.to_ns / 1e9 <= 5.8
    stop = only(events, EventKind.RUN_STOP)
    assert (stop.at_ns - (pause.to_ns - pause.from_ns)) / 1e9 == pytest.approx(11.09, abs=0.03)
    assert stop.detail["outcome"] == "complete"


def test_the_prompts_follow():
    prompts = []
    play(started(), ToldStick(way=TOUCHED, seconds=40), seen=lambda run, _: prompts.append(run.progress().prompt))
    assert [p for p, before in zip(prompts, [None, *prompts], strict=False) if p != before] == [
        Prompt.WAIT_FOR_PULSES,
        Prompt.LET_GO,
        Prompt.TOUCH_NOTHING,
        Prompt.LET_GO,
        Prompt.TOUCH_NOTHING,
        Prompt.DONE,
    ]


@pytest.mark.parametrize("until_s", [0.22, 0.4, 0.9, 1.04, 1.3, 3.0])
def test_a_stick_that_moves_from_the_first_moment_is_not_held_before_it_stands_still(until_s):
    run = started()
    events = play(run, ToldStick(way=[(0, 0.0), (until_s, 0.8), (until_s + 1, 0.8)], seconds=40))
    (pause,) = pauses(events)
    assert (pause.from_ns, pause.reason) == (0, "settling")
    assert pause.to_ns / 1e9 >= max(until_s, 1.0)
    assert pause.to_ns / 1e9 <= max(until_s + 0.5, 1.1)
    assert (only(events, EventKind.RUN_STOP).at_ns - pause.to_ns) / 1e9 == pytest.approx(10, abs=0.001)


def test_a_stick_that_is_taken_away_from_a_second_too_late_is_waited_for():
    events = play(started(), ToldStick(way=[(0, 0.4), (0.8, 0.4), (1.0, 0.8), (2, 0.8)], seconds=40))
    (pause,) = pauses(events)
    assert pause.reason == "settling"
    assert 2.0 <= pause.to_ns / 1e9 <= 2.6  # a second after it was seen to stand still again


def test_a_run_that_is_ended_before_all_is_still_has_held_nothing():
    def stop(run, now):
        if now == S // 2:
            run.ask(Seen.STOP, now)

    run = started()
    events = play(run, still(), seen=stop)
    assert pauses(events) == [Pause(from_ns=0, to_ns=S // 2, reason="settling")]
    assert run.progress().stick.held_s == 0


def test_carrying_on_gives_the_hand_time_to_go_as_well():
    def hand(run, now):
        if now in (4 * S, 6 * S):
            run.ask(Seen.HAND_PAUSE if now == 4 * S else Seen.CARRY_ON, now)

    events = play(started(), still(), seen=hand)
    by_hand, settling = broken_off(events)
    assert (by_hand.reason, by_hand.from_ns, by_hand.to_ns) == ("by-hand", 4 * S, 6 * S)
    assert (settling.reason, settling.from_ns, settling.to_ns) == ("settling", 6 * S, 7 * S)
    held_ns = only(events, EventKind.RUN_STOP).at_ns - sum(p.to_ns - p.from_ns for p in pauses(events))
    assert held_ns / 1e9 == pytest.approx(10, abs=0.001)


def test_several_positions_are_held_one_after_the_other():
    run = started(told=RunSettings(seconds=5.0, positions=3))
    events = play(run, ToldStick(way=stops_way((0, 0.5, 1), hold_s=7, move_s=1), seconds=40))
    found = broken_off(events)
    assert [pause.reason for pause in found] == ["next-position", "next-position"]
    stop = only(events, EventKind.RUN_STOP)
    assert stop.detail["outcome"] == "complete"
    bounds = [pauses(events)[0].to_ns, *(ns for pause in found for ns in (pause.from_ns, pause.to_ns)), stop.at_ns]
    held = [(b - a) / 1e9 for a, b in zip(bounds[::2], bounds[1::2], strict=True)]
    assert held == pytest.approx([5, 5, 5], abs=0.03)
    assert (run.progress().stick.position, run.progress().stick.positions) == (3, 3)


def test_the_next_position_is_asked_for_and_counted():
    seen = []
    run = started(told=RunSettings(seconds=5.0, positions=2))

    def note(run, _):
        seen.append((run.progress().prompt, run.progress().stick.position))

    play(run, ToldStick(way=stops_way((0, 0.5), hold_s=7, move_s=1), seconds=40), seen=note)
    assert (Prompt.NEXT_POSITION, 2) in seen
    assert (Prompt.NEXT_POSITION, 1) not in seen


def test_without_a_lead_the_next_position_begins_when_told():
    run = started(told=RunSettings(seconds=5.0, positions=2), leads={"output": OUTPUT})

    def carry_on(run, now):
        if now == 8 * S:
            run.ask(Seen.CARRY_ON, now)

    events = play(run, still(), seen=carry_on)
    (pause,) = broken_off(events)
    assert pause.to_ns == 9 * S
    assert run.progress().outcome == "complete"


def test_bad_signal_pauses_it_and_the_hold_goes_on_where_it_was():
    run = started(alone=True)
    events = play(run, still(quiet=[(4, 7)]))
    assert [pause.reason for pause in pauses(events)] == ["settling", "bad-signal", "settling"]
    held_ns = only(events, EventKind.RUN_STOP).at_ns - sum(p.to_ns - p.from_ns for p in pauses(events))
    assert held_ns / 1e9 == pytest.approx(10, abs=0.001)


def test_alone_a_stick_that_nobody_takes_to_the_next_position_ends_it():
    run = started(told=RunSettings(seconds=5.0, positions=2), alone=True)
    stop = only(play(run, still(200)), EventKind.RUN_STOP)
    assert stop.detail["reason"] == StopReason.NO_MOVES
    assert stop.detail["outcome"] == "cut-short"


def test_alone_a_stick_that_is_touched_again_and_again_ends_it_one_day():
    way = [(0.0, 0.0)]
    for n in range(200):
        way += [(n + 0.9, n % 2), (n + 1.0, (n + 1) % 2)]
    run = started(alone=True)
    stop = only(play(run, ToldStick(way=way, seconds=190)), EventKind.RUN_STOP)
    assert stop.detail["reason"] in (StopReason.NEVER_STILL, StopReason.NO_MOVES)
    assert stop.at_ns / 1e9 <= 131


def test_alone_holds_that_are_always_broken_off_end_it_one_day():
    way = [(0.0, 0.0)]
    for n in range(120):
        way += [(1.9 * n + 1.7, n % 2), (1.9 * n + 1.9, (n + 1) % 2)]
    run = started(told=RunSettings(seconds=60.0), alone=True)
    stop = only(play(run, ToldStick(way=way, seconds=230)), EventKind.RUN_STOP)
    assert stop.detail["reason"] == StopReason.NEVER_STILL
    assert stop.at_ns == 180 * S


@pytest.mark.parametrize("asked_ns", [5 * S, 6 * S + 50 * MS])
def test_a_pause_ends_no_sooner_than_the_pulses_are_steady(asked_ns):
    run, stick = started(), still(10, quiet=[(3, 6)])

    def seen(run, now):
        if now == asked_ns // (20 * MS) * 20 * MS:
            run.ask(Seen.CARRY_ON, asked_ns)

    _, lost, *_ = pauses(play(run, stick, seen=seen))
    fifth = stick.edges.times_ns[stick.edges.times_ns > 6 * S][9]
    assert (lost.reason, lost.to_ns) == ("bad-signal", fifth)


@settings(max_examples=15, deadline=None)
@given(st.lists(st.integers(20, 14_000), min_size=1, max_size=30))
def test_any_cut_of_the_records_logs_the_same_events(places):
    stick = ToldStick(way=TOUCHED, seconds=14)
    cuts = [ms * MS for ms in sorted(set(places))] + [15 * S]
    assert play(started(), stick, cuts_ns=cuts) == play(started(), stick)
