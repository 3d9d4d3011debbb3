"""A continuous stick-sweep, told the time."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchapp.procedures.ground.moments import Seen
from benchapp.procedures.ground.procedure import Procedure
from benchapp.procedures.ground.progress import Pace, PauseReason, Prompt, StopReason
from benchapp.procedures.ground.table import State
from benchapp.procedures.sweep import continuous, cycles
from benchapp.procedures.sweep.continuous import TABLE, SweepState
from benchapp.procedures.sweep.run_part import begin
from benchapp.records.events import EventKind
from benchapp.records.run import RunSettings
from benchapp.records.stream import Gap
from tests.procedures.told_stick import MS, S, ToldStick, only, plan, play, strokes

UNEVEN = (1.0, 0.8, 1.3, 0.7, 1.1, 1.25)


def started(told=None, **changes) -> Procedure:
    return begin(plan("stick-sweep", told or RunSettings(cycles=3), **changes))


def swept(count=6, **words) -> ToldStick:
    way = strokes(count, speeds=UNEVEN, **words)
    return ToldStick(way=way, seconds=way[-1][0] + 1.5)


# The table --------------------------------------------------------------------------------------------------------


def test_every_state_can_be_reached_and_every_open_one_ended():
    found = {State.WAITING_FOR_PULSES}
    while fresh := {after for (before, _), after in TABLE.rows.items() if before in found} - found:
        found |= fresh
    assert found == {*State, *SweepState}
    for state in TABLE.open:
        assert all(TABLE.rows[state, seen] is State.ENDED for seen in (Seen.STOP, Seen.BROKE, Seen.GIVE_UP))
    assert not [key for key in TABLE.rows if key[0] is State.ENDED]


# From start to end ------------------------------------------------------------------------------------------------


def test_it_ends_complete_in_the_rest_after_the_cycles_asked_for():
    run, stick = started(), swept()
    events = play(run, stick)
    stop = only(events, EventKind.RUN_STOP)
    assert stop.detail == {"outcome": "complete", "reason": "enough-cycles", "stopped_itself": False}
    last_end_s = stick.way[-2][0]
    # The rest that ends it is 0.6 s long; it is seen to begin within a tenth of a second.
    assert 0.5 <= stop.at_ns / 1e9 - last_end_s <= 0.75
    assert [event.kind for event in events] == [EventKind.RUN_START, EventKind.RUN_STOP]
    shown = run.progress().stick
    assert (shown.cycles, shown.cycles_wanted) == (3, 3)
    assert run.progress().prompt is Prompt.DONE


def test_the_start_tells_the_cycles_asked_for():
    start = started(RunSettings(cycles=4)).see((), 0)[0]
    assert start.detail["settings"]["cycles"] == 4


def test_without_cycles_it_goes_on_until_the_time_is_over_in_the_middle_of_a_stroke():
    run = started(RunSettings(seconds=17.0))
    stop = only(play(run, swept(8)), EventKind.RUN_STOP)
    assert (stop.at_ns, stop.detail["outcome"], stop.detail["reason"]) == (17 * S, "complete", "time-over")


def test_a_hand_stops_it_and_keeps_it():
    run = started()

    def stop_at_six(run, now):
        if now == 6 * S:
            run.ask(Seen.STOP, now)

    stop = only(play(run, swept(), seen=stop_at_six), EventKind.RUN_STOP)
    assert stop.detail["outcome"] == "cut-short"
    assert stop.detail["reason"] == "by-hand"
    assert stop.at_ns == 6 * S


def test_strokes_that_stop_half_way_make_no_cycle():
    # Once to the top and back, then twice up and down the lower half.
    way = [(0.0, 0.0), (1.0, 0.0)]
    now = 1.0
    for place in (1.0, 0.0, 0.5, 0.0, 0.5, 0.0):
        way += [(now + 3, place), (now + 4, place)]
        now += 4
    run = started(RunSettings(cycles=2))
    play(run, ToldStick(way=way, seconds=now + 1))
    assert run.progress().stick.cycles == 1
    assert not run.ended


@pytest.mark.parametrize("start", [0.0, 1.0])
def test_either_end_can_be_the_first(start):
    run = started()
    way = [(at, place if start == 0 else 1 - place) for at, place in strokes(6, speeds=UNEVEN)]
    play(run, ToldStick(way=way, seconds=way[-1][0] + 1.5))
    assert run.progress().outcome == "complete"


def test_a_stick_that_begins_between_the_ends_is_asked_to_one_first():
    way = [(0.0, 0.5), (1.2, 0.5), (2.0, 0.0), (3.0, 0.0), *[(at + 3, place) for at, place in strokes(6)[1:]]]
    run = started()
    play(run, ToldStick(way=way, seconds=way[-1][0] + 1.5))
    assert run.progress().outcome == "complete"


@settings(max_examples=15, deadline=None)
@given(st.lists(st.integers(20, 34_000), min_size=1, max_size=40))
def test_any_cut_of_the_records_logs_the_same_events(places):
    stick = swept()
    cuts = [ms * MS for ms in sorted(set(places))] + [round(stick.seconds * S) + S]
    assert play(started(), stick, cuts_ns=cuts) == play(started(), stick)


# What is asked for ------------------------------------------------------------------------------------------------


def test_the_prompts_follow_the_hand():
    prompts = []
    play(started(), swept(2), seen=lambda run, _: prompts.append(run.progress().prompt))
    assert list(dict.fromkeys(prompts)) == [
        Prompt.WAIT_FOR_PULSES,
        Prompt.GO_TO_AN_END,
        Prompt.REST,
        Prompt.SWEEP,
    ]


def test_a_halt_between_the_ends_asks_to_go_on_and_is_no_rest():
    way = [*strokes(2), (13.0, 0.5), (15.0, 0.5), (17.0, 1.0), (18.0, 1.0)]
    prompts = []
    run = started()
    play(run, ToldStick(way=way, seconds=18.5), seen=lambda run, now: prompts.append((now, run.progress().prompt)))
    assert {prompt for now, prompt in prompts if 13.5 * S < now < 15 * S} == {Prompt.GO_ON}
    assert run.progress().stick.cycles == 1


def test_uneven_speeds_are_asked_for_cycle_by_cycle():
    wanted = []
    play(started(RunSettings(cycles=4)), swept(8), seen=lambda run, _: wanted.append(run.progress().stick.pace_wanted))
    assert [one for one, other in zip(wanted, [None, *wanted], strict=False) if one != other] == [
        Pace.USUAL,
        Pace.SLOWER,
        Pace.QUICKER,
        Pace.SLOWER,
        Pace.QUICKER,  # until the rest after the last stroke is long enough
        None,
    ]


def paced(stroke_s):
    """Return what is said of a second cycle's strokes, asked for at 0.65 of the usual speed, that last so long."""
    way = strokes(2, stroke_s=5.0)
    now = way[-1][0]
    way = [*way, (now + stroke_s, 1.0), (now + stroke_s + 1, 1.0)]
    said = []

    def note(run, at):
        if now + 0.4 < at / 1e9 < now + stroke_s and run.progress().stick.pace is not None:
            said.append(run.progress().stick.pace)

    play(started(), ToldStick(way=way, seconds=now + stroke_s + 1), seen=note)
    return set(said)


def test_too_fast_and_too_slow_are_told_against_the_moving_target():
    assert paced(5.0 / 0.65) == {Pace.GOOD}
    assert Pace.TOO_FAST in paced(3.0)
    assert Pace.TOO_SLOW not in paced(3.0)
    assert Pace.TOO_SLOW in paced(16.0)
    assert Pace.TOO_FAST not in paced(16.0)


def test_a_first_stroke_that_flies_is_told_without_knowing_the_range():
    said = []
    way = [(0.0, 0.0), (1.0, 0.0), (1.5, 1.0), (3.0, 1.0)]
    play(started(), ToldStick(way=way, seconds=3), seen=lambda run, _: said.append(run.progress().stick.pace))
    assert Pace.TOO_FAST in said


def test_the_target_runs_from_the_end_the_stroke_began_at_to_the_other():
    seen = []

    def note(run, now):
        shown = run.progress().stick
        if shown.target is not None:
            seen.append((now / 1e9, shown.place, shown.target))

    play(started(), swept(2, stroke_s=5.0), seen=note)
    up = [target for at, _, target in seen if at < 6.5]
    down = [target for at, _, target in seen if at > 6.5]
    assert up == sorted(up)
    assert down == sorted(down, reverse=True)
    for began, ended in ((up[0], up[-1]), (1 - down[0], 1 - down[-1])):
        assert began < 0.1
        assert ended > 0.7
    assert max(abs(place - target) for _, place, target in seen) < 0.45


# Bad signal and nobody there --------------------------------------------------------------------------------------


def lost(seconds=(8.0, 10.0)) -> ToldStick:
    way = strokes(8, speeds=UNEVEN)
    return ToldStick(way=way, seconds=way[-1][0] + 1.5, quiet=[seconds])


def test_bad_signal_pauses_with_its_reason_until_somebody_carries_on():
    run = started()
    pauses = []

    def carry_on(run, now):
        pauses.append(run.progress().paused)
        if now == 12 * S:
            run.ask(Seen.CARRY_ON, now)

    events = play(run, lost(), seen=carry_on)
    pause, resume = only(events, EventKind.PAUSE), only(events, EventKind.RESUME)
    assert pause.detail == {"reason": "bad-signal"}
    assert 8.1 <= pause.at_ns / 1e9 <= 8.4
    assert resume.at_ns == 12 * S
    assert PauseReason.BAD_SIGNAL in pauses
    assert run.progress().outcome == "complete"


def test_alone_it_carries_on_by_itself_and_a_broken_stroke_does_not_count():
    run = started(alone=True)
    events = play(run, lost())
    assert only(events, EventKind.RESUME).at_ns / 1e9 == pytest.approx(10.1, abs=0.1)
    assert run.progress().stick.cycles == 3
    # Three whole cycles beside the stroke that the pause broke take one cycle more than without it.
    assert only(events, EventKind.RUN_STOP).at_ns > only(play(started(), swept()), EventKind.RUN_STOP).at_ns + S


def test_alone_a_signal_that_stays_away_ends_it_cut_short():
    run = started(alone=True)
    stop = only(play(run, lost((8.0, 99.0))), EventKind.RUN_STOP)
    assert stop.detail["outcome"] == "cut-short"
    assert stop.detail["reason"] == StopReason.PAUSED_TOO_LONG
    assert 18 <= stop.at_ns / 1e9 <= 18.5


def test_alone_a_stick_that_nobody_moves_ends_it():
    run = started(alone=True)
    stop = only(play(run, ToldStick(way=[(0, 0.5), (1, 0.5)], seconds=130)), EventKind.RUN_STOP)
    assert stop.detail["reason"] == StopReason.NO_MOVES
    assert stop.at_ns / 1e9 == pytest.approx(120, abs=1)


def test_a_person_is_waited_for():
    run = started()
    play(run, ToldStick(way=[(0, 0.5), (1, 0.5)], seconds=130))
    assert not run.ended


def test_a_pause_by_hand_counts_no_stroke_that_it_breaks():
    run = started(RunSettings(cycles=1))

    def pause(run, now):
        if now == 3 * S:
            run.ask(Seen.HAND_PAUSE, now)
        if now == 4 * S:
            run.ask(Seen.CARRY_ON, now)

    events = play(run, swept(4), seen=pause)
    assert only(events, EventKind.PAUSE).detail == {"reason": "by-hand"}
    # The first stroke is broken by the pause; the next two make the cycle, or none before the third does.
    assert only(events, EventKind.RUN_STOP).at_ns > 14 * S


def test_samples_the_probe_lost_break_a_stroke():
    run, stick = started(RunSettings(cycles=1)), swept(4)
    gap = Gap(leads=(3,), from_ns=2 * S, to_ns=4 * S, cause="damaged frame")
    run.see([gap], 20 * MS)
    kept = (stick.levels.times_ns < 2 * S) | (stick.levels.times_ns > 4 * S)
    stick.levels = type(stick.levels)(lead=3, times_ns=stick.levels.times_ns[kept], values=stick.levels.values[kept])
    stop = only(play(run, stick), EventKind.RUN_STOP)
    assert stop.at_ns > 14 * S


def test_it_ends_at_once_when_told_and_keeps_the_reason():
    run = started()
    run.see((), 0)
    (stop,) = run.finish(StopReason.PROBE_LOST, 5 * S)
    assert (stop.at_ns, stop.detail["reason"], stop.detail["outcome"]) == (5 * S, "probe-lost", "cut-short")
    assert run.drop(6 * S) == []
    assert run.undrop(6 * S) == []
    assert run.drive_requests() == []


def test_the_cycles_of_a_long_sweep_are_counted_from_its_last_minutes_alone(monkeypatch):
    stick, counted, kept, made = swept(16), [], [], []
    play(started(RunSettings(cycles=8)), stick, seen=lambda run, _: counted.append(run.progress().stick.cycles))
    monkeypatch.setattr(cycles, "KEPT_NS", 20 * S)
    monkeypatch.setattr(continuous, "Cycles", lambda run: made.append(cycles.Cycles(run)) or made[-1])
    again = []
    run = started(RunSettings(cycles=8))

    def seen(run, _now):
        again.append(run.progress().stick.cycles)
        kept.append(made[0].kept)

    play(run, stick, seen=seen)
    assert counted[-1] == 8
    assert again == counted
    # The last 20 s, and a stroke or two until the next rest, at 250 samples a second.
    assert max(kept) <= 250 * 35
