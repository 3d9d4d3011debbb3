"""A switch-flip run, told the time."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchapp.procedures.flips.run_part import LAG_NS, begin
from benchapp.procedures.flips.table import TABLE, FlipState
from benchapp.procedures.ground.moments import Seen
from benchapp.procedures.ground.procedure import Procedure
from benchapp.procedures.ground.progress import Prompt, StopReason
from benchapp.procedures.ground.table import State
from benchapp.records.events import SWITCH_ON, Event, EventKind
from benchapp.records.run import PickUp, RunSettings
from tests.procedures.told_bench import DRIVE, MS, OUTPUT, SWITCH, S, ToldBench, draws, evenly, plan, play


def started(**changes) -> Procedure:
    return begin(plan(**changes), draws())


def only(events: list[Event], kind: EventKind) -> Event:
    (event,) = [event for event in events if event.kind is kind]
    return event


def kinds(events: list[Event]) -> list[str]:
    return [event.kind.value for event in events]


# The run from its start to its end -------------------------------------------------------------------------------


def test_the_start_is_logged_with_everything_a_reduction_needs():
    (event,) = started(settings=RunSettings(flips=5, target_ms=0.5), start_ns=7).see((), 7)
    assert event.kind is EventKind.RUN_START
    assert event.at_ns == 7
    assert event.run == 1
    assert event.detail == {
        "test": "switch-flip",
        "roles": {"0": "output", "1": "switch"},
        "polarity": {},
        "pick_up": "unknown",
        "settings": {"hold_off_ns": 20_000_000, "flips": 5, "seconds": None, "target_ms": 0.5},
    }


def test_it_ends_complete_after_the_flips_asked_for():
    run = started()
    events = play(run, ToldBench(flips_ns=evenly(5)), 20 * S)
    stop = only(events, EventKind.RUN_STOP)
    assert stop.detail == {"outcome": "complete", "reason": "enough-flips", "stopped_itself": False}
    assert kinds(events) == ["run-start", "run-stop"]
    progress = run.progress()
    assert (progress.flips, progress.answered, progress.outcome) == (5, 5, "complete")
    assert progress.prompt is Prompt.DONE


def test_it_waits_for_the_window_of_the_last_flip_and_ten_pulses_more():
    flips = evenly(5)
    stop = only(play(started(), ToldBench(flips_ns=flips), 20 * S), EventKind.RUN_STOP)
    # The window is 0.5 s (20 frames of 20 ms are shorter); ten pulses later are at most 0.22 s more.
    assert flips[-1] + 500 * MS + 180 * MS <= stop.at_ns <= flips[-1] + 500 * MS + 222 * MS


def test_slow_frames_have_a_longer_window():
    flips = evenly(5, apart_ns=3 * S)
    stop = only(play(started(), ToldBench(flips_ns=flips, period_ns=50 * MS), 20 * S), EventKind.RUN_STOP)
    assert stop.at_ns >= flips[-1] + 20 * 50 * MS


def test_a_flip_too_many_ends_the_run_just_before_it():
    flips = [*evenly(5), evenly(5)[-1] + 400 * MS]
    run = started()
    stop = only(play(run, ToldBench(flips_ns=flips), 20 * S), EventKind.RUN_STOP)
    assert stop.at_ns == flips[-1] - 1
    assert run.progress().flips == 5


def test_unanswered_flips_count_as_flips():
    flips = evenly(5)
    run = started()
    # The radio answers every flip two seconds late: nothing comes inside the window.
    play(run, ToldBench(flips_ns=flips, delay_ns=900 * MS), 20 * S)
    assert run.progress().flips == 5
    assert run.progress().answered < 5


def test_the_live_figure_is_the_delay_of_the_bench():
    run = started(settings=RunSettings(flips=30))
    play(run, ToldBench(flips_ns=evenly(30)), 60 * S)
    progress = run.progress()
    # 5 ms delay, then 0 to 20 ms for the next frame, then the pulse (1.1 or 1.9 ms): 16.5 ms on average.
    assert progress.value_ms == pytest.approx(16.5, abs=1.0)
    assert 0 < progress.half_width_ms < 3
    assert 6 < progress.last_ms < 27


def test_the_live_figure_has_the_budget_of_the_findings_and_any_switch_on_beside_it():
    on_the_contact, taped = (
        started(settings=RunSettings(flips=30), pick_up=pick_up) for pick_up in (PickUp.CONTACT, PickUp.TAPED)
    )
    for run in (on_the_contact, taped):
        play(run, ToldBench(flips_ns=evenly(30)), 60 * S)
    close, far = on_the_contact.progress(), taped.progress()
    assert (close.stands_for, close.seen_switch_ons) == ("this-switch-on", 1)
    # 5 ms of the taped contact, k = 2; a frame of 20 ms for the switch-ons not seen (T/√12 = 5.77 ms).
    assert far.half_width_ms == pytest.approx(math.hypot(close.half_width_ms, 2 * 5.0), rel=0.01)
    assert close.any_half_width_ms == pytest.approx(math.hypot(close.half_width_ms, 2 * 20 / math.sqrt(12)), rel=0.01)


def test_a_target_that_the_pick_up_alone_misses_never_stops_the_run_and_is_said():
    run = started(settings=RunSettings(target_ms=2.0), pick_up=PickUp.TAPED)
    play(run, ToldBench(flips_ns=evenly(60)), 70 * S)
    assert not run.ended
    assert run.progress().out_of_reach


def test_the_prompt_follows_the_run():
    run, bench = started(), ToldBench(flips_ns=[1 * S, 3 * S])
    prompts = []
    for now, records in bench.slices(range(20 * MS, 4 * S, 20 * MS)):
        run.see(records, now)
        prompts.append(run.progress().prompt)
    assert list(dict.fromkeys(prompts)) == [
        Prompt.WAIT_FOR_PULSES,
        Prompt.FLIP_TO_START,
        Prompt.WAIT_FOR_ANSWER,
        Prompt.FLIP_NOW,
    ]


# Stop rules ------------------------------------------------------------------------------------------------------


def test_seconds_end_it_complete_at_that_moment():
    run = started(settings=RunSettings(seconds=5.0))
    stop = only(play(run, ToldBench(flips_ns=[1 * S]), 20 * S), EventKind.RUN_STOP)
    assert stop.detail["outcome"] == "complete"
    assert stop.detail["reason"] == "time-over"
    assert stop.at_ns == 5 * S


def test_a_flip_in_the_last_moment_is_still_waited_for():
    run = started(settings=RunSettings(seconds=5.0))
    stop = only(play(run, ToldBench(flips_ns=[1 * S, 4_900 * MS]), 20 * S), EventKind.RUN_STOP)
    assert stop.detail["reason"] == "time-over"
    assert stop.at_ns > 5_400 * MS
    assert run.progress().answered == 2


def test_a_target_that_is_met_stops_it_by_itself():
    run = started(settings=RunSettings(flips=100, target_ms=5.0))
    stop = only(play(run, ToldBench(flips_ns=evenly(100)), 120 * S), EventKind.RUN_STOP)
    assert stop.detail == {"outcome": "complete", "reason": "target-met", "stopped_itself": True}
    assert run.progress().answered == 40


def test_with_a_target_and_flips_whichever_comes_first_ends_it():
    run = started(settings=RunSettings(flips=35, target_ms=1e-6))
    stop = only(play(run, ToldBench(flips_ns=evenly(40)), 120 * S), EventKind.RUN_STOP)
    assert stop.detail["reason"] == "enough-flips"


# Pauses ----------------------------------------------------------------------------------------------------------


def test_bad_signal_pauses_within_a_tenth_of_a_second_after_the_limit():
    bench = ToldBench(flips_ns=[1 * S], quiet=[(2 * S, 9 * S)])
    run = started()
    last_pulse_ends = 1_983 * MS + 1_900_000
    for now, records in bench.slices(range(10 * MS, 4 * S, 10 * MS)):
        events = run.see(records, now)
        if EventKind.PAUSE in [event.kind for event in events]:
            break
    assert now <= last_pulse_ends + 200 * MS + 100 * MS
    pause = only(events, EventKind.PAUSE)
    assert pause.at_ns == last_pulse_ends + 200 * MS
    assert pause.detail == {"reason": "bad-signal"}
    assert run.progress().paused == "bad-signal"
    assert run.progress().prompt is Prompt.CARRY_ON


def test_a_paused_run_waits_for_a_person_even_when_the_signal_is_back():
    run = started()
    events = play(run, ToldBench(flips_ns=[1 * S, 5 * S], quiet=[(2 * S, 3 * S)]), 8 * S)
    assert kinds(events) == ["run-start", "pause"]
    assert run.state is State.PAUSED
    assert run.progress().flips == 1


def test_carrying_on_needs_steady_pulses():
    bench = ToldBench(flips_ns=[1 * S], quiet=[(2 * S, 6 * S)])
    run, events = started(), []
    for now, records in bench.slices(range(20 * MS, 8 * S, 20 * MS)):
        if now == 4 * S:
            run.ask(Seen.CARRY_ON, now)
        events += run.see(records, now)
        if 5 * S < now < 6 * S:
            assert run.progress().paused == "bad-signal"
            assert run.progress().prompt is Prompt.WAIT_FOR_PULSES
    resume = only(events, EventKind.RESUME)
    assert 6 * S < resume.at_ns < 6 * S + 110 * MS
    assert run.progress().paused == ""


def test_nobody_there_it_carries_on_by_itself_once_the_signal_is_back():
    run = started(alone=True)
    events = play(run, ToldBench(flips_ns=[1 * S, 5 * S], quiet=[(2 * S, 4 * S)]), 7 * S)
    assert kinds(events) == ["run-start", "pause", "resume"]
    assert run.progress().flips == 2


def test_nobody_there_ten_seconds_of_pause_end_it():
    run = started(alone=True)
    events = play(run, ToldBench(flips_ns=[1 * S], quiet=[(2 * S, 60 * S)]), 60 * S)
    pause, stop = only(events, EventKind.PAUSE), only(events, EventKind.RUN_STOP)
    assert stop.at_ns == pause.at_ns + 10 * S
    assert stop.detail == {"outcome": "cut-short", "reason": "paused-too-long", "stopped_itself": False}


def test_nobody_there_ten_seconds_without_a_first_pulse_end_it():
    run = started(alone=True)
    stop = only(play(run, ToldBench(quiet=[(0, 60 * S)]), 60 * S), EventKind.RUN_STOP)
    assert stop.at_ns == 10 * S
    assert stop.detail["outcome"] == "cut-short"


def test_nobody_there_ten_minutes_without_a_flip_end_it():
    run = started(alone=True)
    stop = only(play(run, ToldBench(), 700 * S, step_ns=S), EventKind.RUN_STOP)
    assert stop.detail["reason"] == "no-flips"


def test_somebody_there_a_pause_may_last():
    run = started()
    play(run, ToldBench(flips_ns=[1 * S], quiet=[(2 * S, 60 * S)]), 60 * S)
    assert run.state is State.PAUSED


def test_a_pause_by_hand_takes_its_turn_among_the_flips():
    bench = ToldBench(flips_ns=[1 * S, 3 * S, 5 * S])
    run, events = started(), []
    for now, records in bench.slices(range(20 * MS, 8 * S, 20 * MS)):
        if now == 3_020 * MS:
            run.ask(Seen.HAND_PAUSE, now)
        if now == 4 * S:
            run.ask(Seen.CARRY_ON, now)
        events += run.see(records, now)
    assert only(events, EventKind.PAUSE).at_ns == 3_020 * MS
    assert only(events, EventKind.RESUME).at_ns == 4 * S
    # The flip at 3 s was made before the pause, though its burst was over only after it.
    assert run.progress().flips == 3


def test_a_switch_on_between_blocks_is_a_pause_of_its_own_kind():
    flips = [1 * S, 2 * S, 10 * S, 11 * S]
    bench = ToldBench(flips_ns=flips, quiet=[(4 * S, 8 * S)])
    run, events = started(), []
    for now, records in bench.slices(range(20 * MS, 13 * S, 20 * MS)):
        if now == 3 * S:
            run.ask(Seen.SWITCH_ON, now)
        if now == 9 * S:
            run.ask(Seen.CARRY_ON, now)
        events += run.see(records, now)
        if now == 6 * S:
            assert run.progress().prompt is Prompt.SWITCH_OFF_AND_ON
    assert kinds(events) == ["run-start", "pause", "resume"]
    assert only(events, EventKind.PAUSE).detail == {"reason": SWITCH_ON}
    assert run.progress().blocks == 2
    assert run.progress().flips == 4


def test_a_bad_signal_pause_can_turn_out_to_be_a_switch_on():
    bench = ToldBench(flips_ns=[1 * S], quiet=[(2 * S, 4 * S)])
    run, events = started(), []
    for now, records in bench.slices(range(20 * MS, 6 * S, 20 * MS)):
        if now == 3 * S:
            run.ask(Seen.SWITCH_ON, now)
        if now == 5 * S:
            run.ask(Seen.CARRY_ON, now)
        events += run.see(records, now)
    assert kinds(events) == ["run-start", "pause", "resume", "pause", "resume"]
    assert run.progress().blocks == 2


# Ending early ----------------------------------------------------------------------------------------------------


def test_stopping_by_hand_keeps_what_there_is():
    bench = ToldBench(flips_ns=evenly(7))
    run, events = started(settings=RunSettings(flips=60)), []
    for now, records in bench.slices(range(20 * MS, 12 * S, 20 * MS)):
        if now == 8 * S:
            run.ask(Seen.STOP, now)
        events += run.see(records, now)
    stop = only(events, EventKind.RUN_STOP)
    assert stop.detail == {"outcome": "cut-short", "reason": "by-hand", "stopped_itself": False}
    assert stop.at_ns == 8 * S
    assert run.progress().flips == 7


@pytest.mark.parametrize("state", TABLE.open)
def test_a_broken_stretch_ends_the_run_in_every_state(state):
    bench = ToldBench(flips_ns=[1 * S], quiet=[(2 * S, 9 * S)] if state in (State.PAUSED, State.REGAINING) else [])
    settings_ = RunSettings(flips=1 if state is FlipState.LAST_ANSWER else 60)
    run, at_ns = started(settings=settings_), {"waiting-for-pulses": 40 * MS, "awaiting-flip": 500 * MS}.get(state)
    at_ns = at_ns or (1_200 * MS if state in (FlipState.AWAITING_ANSWER, FlipState.LAST_ANSWER) else 4 * S)
    for now, records in bench.slices(range(20 * MS, at_ns + 1, 20 * MS)):
        if state is FlipState.SWITCHING_ON and now == 3 * S:
            run.ask(Seen.SWITCH_ON, now)
        if state is State.REGAINING and now == 3 * S:
            run.ask(Seen.CARRY_ON, now)
        run.see(records, now)
    assert run.state is state
    stop = only(run.finish(StopReason.PROBE_LOST, at_ns), EventKind.RUN_STOP)
    assert stop.at_ns == at_ns
    assert stop.detail == {"outcome": "cut-short", "reason": "probe-lost", "stopped_itself": False}
    assert run.finish(StopReason.PROBE_LOST, at_ns) == []
    assert run.see((), at_ns + S) == []


def test_a_run_that_is_finished_before_anything_came_has_no_figure():
    run = started()
    run.finish(StopReason.SESSION_CLOSED, 0)
    assert run.progress().value_ms is None
    assert run.progress().outcome == "cut-short"


# Drops -----------------------------------------------------------------------------------------------------------


def test_dropping_the_last_flip_and_taking_it_back_gives_the_same_figure():
    run = started(settings=RunSettings(flips=30))
    play(run, ToldBench(flips_ns=evenly(30)), 60 * S)
    before = run.progress()
    (drop,) = run.drop(61 * S)
    assert drop.kind is EventKind.DROP
    assert drop.detail == {"flip_ns": evenly(30)[-1]}
    assert run.progress().answered == 29
    assert run.progress().dropped == 1
    assert run.progress().half_width_ms != before.half_width_ms
    (undrop,) = run.undrop(62 * S)
    assert undrop.kind is EventKind.UNDROP
    assert run.progress() == before


def test_each_drop_takes_the_last_flip_that_still_counts():
    run = started(settings=RunSettings(flips=60))
    play(run, ToldBench(flips_ns=evenly(4)), 6 * S)
    dropped = [run.drop(7 * S)[0].detail["flip_ns"] for _ in range(2)]
    assert dropped == [evenly(4)[3], evenly(4)[2]]
    assert run.undrop(8 * S)[0].detail["flip_ns"] == evenly(4)[2]


def test_a_flip_that_is_not_there_cannot_be_dropped():
    run = started()
    run.see((), 1 * S)
    assert run.drop(1 * S) == []
    assert run.drop(1 * S, flip_ns=123) == []
    assert run.undrop(1 * S) == []


def test_a_flip_can_be_dropped_by_its_time_after_the_run():
    run = started()
    play(run, ToldBench(flips_ns=evenly(5)), 20 * S)
    (event,) = run.drop(30 * S, flip_ns=evenly(5)[1])
    assert event.detail == {"flip_ns": evenly(5)[1]}
    assert run.progress().answered == 4


# Flips the probe makes -------------------------------------------------------------------------------------------


def test_the_probe_is_asked_for_each_flip_once_and_levels_alternate():
    leads = {"output": OUTPUT, "switch": SWITCH, "drive": DRIVE}
    run = started(leads=leads, phase_stepped=True, settings=RunSettings(flips=4))
    bench, requests = ToldBench(), []
    now, before = 0, -1
    while not run.ended and now < 60 * S:
        now += 20 * MS
        bench.flips_ns = [request.at_ns for request in requests]
        _, records = list(bench.slices([before, now]))[1] if before > 0 else next(iter(bench.slices([now])))
        run.see(records, now)
        before = now
        for request in run.drive_requests():
            requests.append(request)
            assert request.at_ns > now
    assert run.progress().outcome == "complete"
    assert [request.level for request in requests] == [1, 0, 1, 0]
    assert run.progress().flips == 4


def test_a_flip_that_never_came_is_asked_for_again():
    leads = {"output": OUTPUT, "switch": SWITCH, "drive": DRIVE}
    run = started(leads=leads, phase_stepped=True)
    asked = []
    for now, records in ToldBench().slices(range(20 * MS, 5 * S, 20 * MS)):
        run.see(records, now)
        for request in run.drive_requests():
            asked.append((now, request.at_ns))
    assert len(asked) >= 2
    assert asked[1][0] >= asked[0][1] + 1 * S


def test_hands_off_is_said_while_the_probe_flips():
    run = started(leads={"output": OUTPUT, "switch": SWITCH, "drive": DRIVE}, phase_stepped=True)
    play(run, ToldBench(), 1 * S)
    assert run.progress().prompt is Prompt.HANDS_OFF


# Any cut ---------------------------------------------------------------------------------------------------------


def _events_of(cuts_ms: list[int]) -> list[Event]:
    bench = ToldBench(flips_ns=[1 * S, 2_007 * MS, 4_011 * MS, 6 * S], quiet=[(2_600 * MS, 3_000 * MS)])
    run = started(settings=RunSettings(flips=4), alone=True)
    events = []
    for now, records in bench.slices(sorted({cut * MS for cut in cuts_ms} | {9 * S})):
        events += run.see(records, now)
    return events


@settings(max_examples=40, deadline=None)
@given(cuts_ms=st.lists(st.integers(1, 9000), min_size=1, max_size=200))
def test_however_the_records_are_cut_the_same_events_are_logged(cuts_ms):
    assert _events_of(cuts_ms) == _events_of([9000])


def test_events_are_logged_in_the_order_of_their_times():
    times = [event.at_ns for event in _events_of(list(range(1, 9000, 13)))]
    assert times == sorted(times)


def test_what_is_newer_than_the_lag_is_not_judged_yet():
    run = started(settings=RunSettings(seconds=1.0))
    assert kinds(run.see((), 1 * S + LAG_NS - 1)) == ["run-start"]
    assert kinds(run.see((), 1 * S + LAG_NS)) == ["run-stop"]
