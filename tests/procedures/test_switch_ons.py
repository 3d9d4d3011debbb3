"""A run spread over several switch-ons of the transmitter, told the time."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchapp.procedures.flips.course import ALONE_IDLE_NS
from benchapp.procedures.flips.power_cycle import AGAIN_NS, AHEAD_NS, OFF_NS, START_UP_NS, PowerCycle
from benchapp.procedures.flips.run_part import begin
from benchapp.procedures.flips.switch_on_plan import flips_by, switch_on_due
from benchapp.procedures.flips.table import FlipState
from benchapp.procedures.ground.moments import Seen
from benchapp.procedures.ground.procedure import Procedure
from benchapp.procedures.ground.progress import Prompt, StopReason
from benchapp.procedures.ground.table import State
from benchapp.procedures.named import check_settings
from benchapp.records.errors import WrongCall
from benchapp.records.events import SWITCH_ON, Event, EventKind
from benchapp.records.leads import Lead, LeadKind
from benchapp.records.run import RunSettings
from benchapp.records.stream import Edges
from tests.procedures.told_bench import MS, S, ToldBench, draws, edges_of, evenly, plan, play

POWER = Lead(index=5, label="radio power", kind=LeadKind.DRIVE, resolution_ns=62.5)


def spread(flips: int, switch_ons: int, **changes) -> Procedure:
    return begin(plan(settings=RunSettings(flips=flips, switch_ons=switch_ons, **changes)), draws())


def go_on(run: Procedure, bench: ToldBench, *, from_ns: int, to_ns: int) -> list[Event]:
    """Let a run that has seen a bench up to from_ns see the rest, until it ends or the time is over."""
    events: list[Event] = []
    for now, records in list(bench.slices(range(from_ns, to_ns + 1, 20 * MS)))[1:]:
        events += run.see(records, now)
        if run.ended:
            break
    return events


@given(st.integers(1, 2000), st.integers(1, 100))
def test_flips_are_spread_evenly_and_the_first_switch_ons_take_the_rest(flips, switch_ons):
    settings = RunSettings(flips=flips, switch_ons=switch_ons)
    ends = [flips_by(settings, block) for block in range(switch_ons + 1)]
    shares = [after - before for before, after in itertools.pairwise(ends)]
    assert sum(shares) == flips
    assert max(shares) - min(shares) <= 1
    assert shares == sorted(shares, reverse=True)


def test_a_switch_on_is_due_once_its_share_is_done_and_never_after_the_last():
    settings = RunSettings(flips=62, switch_ons=10)
    due = [flips for flips in range(63) for block in [1] if switch_on_due(settings, flips=flips, blocks=block)]
    assert due[0] == 7
    assert not switch_on_due(settings, flips=62, blocks=10)
    assert not switch_on_due(RunSettings(flips=60), flips=60, blocks=1)
    assert not switch_on_due(RunSettings(seconds=9.0), flips=60, blocks=1)


def test_the_run_pauses_by_itself_between_switch_ons_and_counts_nothing_in_between():
    run = spread(5, 2)
    flips = evenly(3)
    bench = ToldBench(flips_ns=[*flips, flips[-1] + 2 * S])
    events = play(run, bench, 5 * S)
    (pause,) = [event for event in events if event.kind is EventKind.PAUSE]
    assert pause.detail == {"reason": SWITCH_ON}
    # The third flip's trial is closed first: its window is 0.5 s, and ten pulses of 20 ms follow.
    assert flips[-1] + 500 * MS < pause.at_ns < flips[-1] + 800 * MS
    progress = run.progress()
    assert (progress.prompt, progress.flips, progress.blocks) == (Prompt.SWITCH_OFF_AND_ON, 3, 1)


def test_after_carrying_on_the_rest_of_the_flips_belongs_to_the_next_switch_on():
    run = spread(5, 2)
    first, rest = evenly(3), evenly(2, first_ns=9 * S)
    bench = ToldBench(flips_ns=[*first, *rest])
    play(run, bench, 6 * S)
    run.ask(Seen.CARRY_ON, 6 * S + 50 * MS)
    go_on(run, bench, from_ns=6 * S, to_ns=20 * S)
    progress = run.progress()
    assert (progress.outcome, progress.answered, progress.blocks) == ("complete", 5, 2)


def test_a_target_stops_a_run_only_in_its_last_switch_on():
    # A radio that always answers alike meets any target from the second look on, at 40 flips.
    flips = evenly(60, apart_ns=1_000 * MS)
    one = begin(plan(settings=RunSettings(flips=60, target_ms=50.0)), draws())
    play(one, ToldBench(flips_ns=flips), 60 * S)
    assert (one.progress().stop_reason, one.progress().flips) == (StopReason.TARGET_MET, 40)
    two = spread(60, 2, target_ms=50.0)
    play(two, ToldBench(flips_ns=flips), 40 * S)
    assert (two.progress().paused, two.progress().flips) == (SWITCH_ON, 30)
    assert two.progress().switch_ons_left == 1
    bench = ToldBench(flips_ns=[*flips[:30], *evenly(30, first_ns=42 * S, apart_ns=1_000 * MS)])
    two = spread(60, 2, target_ms=50.0)
    play(two, bench, 40 * S)
    two.ask(Seen.CARRY_ON, 40 * S + 50 * MS)
    go_on(two, bench, from_ns=40 * S, to_ns=90 * S)
    assert (two.progress().stop_reason, two.progress().flips) == (StopReason.TARGET_MET, 40)
    assert two.progress().switch_ons_left is None


def test_with_nobody_there_a_switch_on_is_waited_for_as_long_as_a_flip_and_the_reason_is_said():
    run = begin(plan(settings=RunSettings(flips=4, switch_ons=2), alone=True), draws())
    bench = ToldBench(flips_ns=evenly(2))
    events = play(run, bench, ALONE_IDLE_NS + 5 * S, step_ns=1 * S)
    (pause,) = [event for event in events if event.kind is EventKind.PAUSE]
    assert run.progress().stop_reason == StopReason.NOT_SWITCHED_ON
    assert run.progress().outcome == "cut-short"
    (stop,) = [event for event in events if event.kind is EventKind.RUN_STOP]
    assert stop.at_ns == pause.at_ns + ALONE_IDLE_NS


@pytest.mark.parametrize(
    ("test", "settings", "said"),
    [
        ("switch-flip", RunSettings(flips=5, switch_ons=6), "too few"),
        ("switch-flip", RunSettings(seconds=5.0, switch_ons=2), "number of flips"),
        ("switch-flip", RunSettings(flips=500, switch_ons=101), "1 to 100"),
        ("switch-flip", RunSettings(flips=500, switch_ons=0), "1 to 100"),
        ("hold-still", RunSettings(seconds=5.0, switch_ons=2), "belong to switch-flip"),
    ],
)
def test_switch_ons_that_make_no_sense_are_refused(test, settings, said):
    with pytest.raises(WrongCall, match=said):
        check_settings(test, settings)


def test_one_switch_on_needs_no_number_of_flips():
    check_settings("switch-flip", RunSettings(seconds=5.0, switch_ons=1))


# The probe switches the transmitter itself -------------------------------------------------------------------------


def power(*edges: tuple[int, int]) -> Edges:
    return edges_of(POWER.index, [at_ns for at_ns, _ in edges], [level for _, level in edges])


def test_off_and_on_are_asked_for_once_and_again_where_nothing_came_of_it():
    cycle = PowerCycle(POWER)
    assert cycle.requests(0) == ()
    cycle.begin(10 * S)
    off, on = cycle.requests(10 * S + 40 * MS)
    assert (off.level, on.level) == (0, 1)
    assert off.at_ns >= 10 * S + 40 * MS + AHEAD_NS
    assert on.at_ns == off.at_ns + OFF_NS
    assert cycle.requests(on.at_ns) == ()
    assert len(cycle.requests(on.at_ns + AGAIN_NS)) == 2


def test_only_the_lead_s_own_edges_say_that_it_was_done():
    cycle = PowerCycle(POWER)
    cycle.begin(10 * S)
    cycle.take(power((11 * S, 1)))
    assert cycle.carry_on_ns is None
    cycle.take(edges_of(0, [11 * S, 12 * S], [0, 1]))
    assert cycle.carry_on_ns is None
    cycle.take(power((11 * S, 0), (12 * S, 1)))
    assert cycle.carry_on_ns == 12 * S + START_UP_NS
    assert cycle.requests(20 * S) == ()
    cycle.end()
    assert cycle.carry_on_ns is None


def test_the_run_carries_on_by_itself_once_the_transmitter_is_up():
    run = begin(plan(settings=RunSettings(flips=4, switch_ons=2), power=POWER, alone=True), draws())
    bench = ToldBench(flips_ns=[*evenly(2), *evenly(2, first_ns=9 * S)])
    play(run, bench, 3 * S)
    assert run.state is FlipState.SWITCHING_ON
    requests = run.drive_requests()
    assert [request.level for request in requests] == [0, 1]
    assert run.drive_requests() == []
    run.see([power(*((request.at_ns, request.level) for request in requests))], 3 * S)
    events = go_on(run, bench, from_ns=3 * S, to_ns=20 * S)
    (resume,) = [event for event in events if event.kind is EventKind.RESUME]
    assert resume.at_ns == requests[1].at_ns + START_UP_NS
    assert (run.progress().outcome, run.progress().answered, run.progress().blocks) == ("complete", 4, 2)


def test_a_transmitter_that_comes_up_late_is_waited_for():
    run = begin(plan(settings=RunSettings(flips=4, switch_ons=2), power=POWER), draws())
    bench = ToldBench(flips_ns=[*evenly(2), *evenly(2, first_ns=13 * S)], quiet=[(3 * S, 12 * S)])
    play(run, bench, 3 * S)
    requests = run.drive_requests()
    run.see([power(*((request.at_ns, request.level) for request in requests))], 3 * S)
    go_on(run, bench, from_ns=3 * S, to_ns=11 * S)
    assert requests[1].at_ns + START_UP_NS < 11 * S
    assert run.state is State.REGAINING
    events = go_on(run, bench, from_ns=11 * S, to_ns=20 * S)
    (resume,) = [event for event in events if event.kind is EventKind.RESUME]
    assert 12 * S < resume.at_ns < 12 * S + 120 * MS
    assert run.progress().outcome == "complete"


def test_a_person_switches_the_transmitter_where_no_lead_does():
    run = spread(4, 2)
    play(run, ToldBench(flips_ns=evenly(2)), 3 * S)
    assert run.state is FlipState.SWITCHING_ON
    assert run.drive_requests() == []
