"""Where and how often a run's figure is made changes nothing of the run, and its last figure is that of everything."""

from collections import deque

import pytest

from benchapp.procedures.flips.run_part import begin as begin_flips
from benchapp.procedures.ground import conclusions
from benchapp.procedures.ground.conclusions import SHOWN_FOR_NS, AtOnce
from benchapp.procedures.ground.evidence_so_far import MemoryColumn
from benchapp.procedures.ground.moments import Seen
from benchapp.procedures.ground.procedure import Procedure
from benchapp.procedures.ground.progress import StopReason
from benchapp.procedures.hold.run_part import begin as begin_hold
from benchapp.procedures.sweep.run_part import begin as begin_sweep
from benchapp.records.events import EventKind
from benchapp.records.run import RunSettings
from tests.procedures import told_stick
from tests.procedures.told_bench import MS, S, ToldBench, draws, evenly, plan, play

TARGET = RunSettings(flips=100, target_ms=5.0)


class LateHelper:
    """Does what it was given only when it is told to, and counts what was concluded."""

    def __init__(self) -> None:
        self.free = True
        self.waiting = deque()

    def do(self, work) -> None:
        self.waiting.append(work)

    def column(self) -> MemoryColumn:
        return MemoryColumn()

    def catch_up(self) -> None:
        while self.waiting:
            self.waiting.popleft()()


class CountingHelper(AtOnce):
    """Does everything at once and counts the conclusions."""

    def __init__(self, *, free: bool = True) -> None:
        self.free = free
        self.concluded = 0

    def do(self, work) -> None:
        self.concluded += work.func.__name__ == "_work"
        work()


def events_with_a_late_helper(bench: ToldBench, settings: RunSettings, *, every: int):
    """Play a run whose helper catches up at every so-manieth slice; return its events and the run."""
    helper, events = LateHelper(), []
    run = begin_flips(plan(settings=settings), draws(), helper)
    for number, (now, records) in enumerate(bench.slices(range(20 * MS, 120 * S, 20 * MS)), 1):
        events += run.see(records, now)
        if number % every == 0:
            helper.catch_up()
        if run.ended:
            break
    helper.catch_up()
    return events, run


@pytest.mark.parametrize("every", [1, 7, 100, 333])
def test_a_run_ends_at_the_same_flip_however_late_its_figure_comes(every):
    at_once = begin_flips(plan(settings=TARGET), draws())
    expected = play(at_once, ToldBench(flips_ns=evenly(100)), 120 * S)
    events, run = events_with_a_late_helper(ToldBench(flips_ns=evenly(100)), TARGET, every=every)
    assert [(event.kind, event.at_ns, event.detail) for event in events] == [
        (event.kind, event.at_ns, event.detail) for event in expected
    ]
    assert events[-1].detail["reason"] == StopReason.TARGET_MET
    assert run.progress() == at_once.progress()


def test_a_target_is_looked_at_every_tenth_flip_without_a_figure_for_each():
    helper = CountingHelper(free=False)
    run = begin_flips(plan(settings=TARGET), draws(), helper)
    play(run, ToldBench(flips_ns=evenly(100)), 120 * S)
    assert run.progress().answered == 40  # as with a figure for each
    # Before the first look, at 30 flips, nothing is known of the answers; then looks at 30 and 40, and the end.
    assert helper.concluded == 3


def test_a_run_that_waits_for_a_figure_says_so_and_is_ended_by_hand_all_the_same():
    helper = LateHelper()
    run = begin_flips(plan(settings=TARGET), draws(), helper)
    play(run, ToldBench(flips_ns=evenly(100)), 60 * S)
    assert run.waits_for_figure
    stop = [event for event in run.finish(StopReason.SESSION_CLOSED, 60 * S) if event.kind is EventKind.RUN_STOP]
    assert stop[0].at_ns == 60 * S
    helper.catch_up()
    assert run.progress().flips == 59  # those after the one that was looked at are not forgotten
    assert not run.waits_for_figure


def test_a_helper_that_has_had_its_share_is_asked_for_nothing_but_the_end():
    helper = CountingHelper(free=False)
    run = begin_flips(plan(settings=RunSettings(flips=20)), draws(), helper)
    play(run, ToldBench(flips_ns=evenly(20)), 60 * S)
    assert helper.concluded == 1
    usual = begin_flips(plan(settings=RunSettings(flips=20)), draws())
    play(usual, ToldBench(flips_ns=evenly(20)), 60 * S)
    assert run.progress() == usual.progress()


def test_the_figure_of_the_last_flip_comes_as_soon_as_the_helper_is_free():
    helper = CountingHelper(free=False)
    run = begin_flips(plan(settings=RunSettings(flips=20)), draws(), helper)
    bench = ToldBench(flips_ns=evenly(3))
    play(run, bench, 6 * S)
    assert run.progress().last_ms is None
    helper.free = True
    run.see((), 6 * S + 20 * MS)
    assert run.progress().answered == 3
    assert run.progress().last_ms is not None


def test_after_half_an_hour_a_figure_stands_until_something_needs_it(monkeypatch):
    assert SHOWN_FOR_NS == 1_800 * S
    monkeypatch.setattr(conclusions, "SHOWN_FOR_NS", 10 * S)
    helper = CountingHelper()
    run = begin_flips(plan(settings=RunSettings(flips=20)), draws(), helper)
    play(run, ToldBench(flips_ns=evenly(15)), 14 * S)
    shown = run.progress().answered
    assert 5 <= shown <= 10
    assert helper.concluded == shown
    assert run.progress().stands
    run.finish(StopReason.BY_HAND, 14 * S)
    assert not run.progress().stands
    assert run.progress().answered == 13
    assert helper.concluded == shown + 1


def hold(helper) -> Procedure:
    return begin_hold(told_stick.plan("hold-still", RunSettings(seconds=12.0)), helper=helper)


def stick() -> told_stick.ToldStick:
    return told_stick.ToldStick(way=[(0.0, 0.5), (30.0, 0.5)], seconds=30.0, noise_us=1.0)


def test_a_hold_is_concluded_once_a_second_at_most_and_at_its_end():
    often, seldom = CountingHelper(), CountingHelper(free=False)
    runs = hold(often), hold(seldom)
    for run in runs:
        told_stick.play(run, stick())
    assert 10 <= often.concluded <= 14
    assert seldom.concluded == 1
    assert runs[0].progress().stick == runs[1].progress().stick
    assert runs[0].progress().stick.sd_us is not None


def test_a_sweep_s_last_figures_are_the_same_however_late_they_come():
    way = told_stick.strokes(6)
    made = told_stick.ToldStick(way=way, seconds=way[-1][0] + 1.5)
    late = LateHelper()
    runs = [
        begin_sweep(told_stick.plan("stick-sweep", RunSettings(cycles=3)), helper=helper) for helper in (None, late)
    ]
    events = [told_stick.play(run, made) for run in runs]
    late.catch_up()
    assert [event.at_ns for event in events[0]] == [event.at_ns for event in events[1]]
    assert runs[0].progress().stick == runs[1].progress().stick


def test_a_wish_made_while_a_figure_is_waited_for_takes_its_turn():
    helper = LateHelper()
    run = begin_flips(plan(settings=TARGET), draws(), helper)
    bench = ToldBench(flips_ns=evenly(30))
    play(run, bench, 40 * S)
    assert run.waits_for_figure
    run.ask(Seen.STOP, 40 * S)
    assert run.see((), 41 * S) == []
    helper.catch_up()
    (stop,) = run.see((), 41 * S)
    assert (stop.at_ns, stop.detail["reason"]) == (40 * S, StopReason.BY_HAND)


def test_the_longer_a_run_lasts_the_more_seldom_it_is_concluded(monkeypatch):
    assert conclusions.GROWN_BY == 200
    monkeypatch.setattr(conclusions, "GROWN_BY", 20)
    helper = CountingHelper()
    run = begin_flips(plan(settings=RunSettings(flips=1000)), draws(), helper)
    bench, early = ToldBench(flips_ns=evenly(40, apart_ns=1_507 * MS)), []
    for now, records in bench.slices(range(20 * MS, 58 * S, 20 * MS)):
        run.see(records, now)
        if now == 30 * S:
            early = [helper.concluded, run.progress().flips]
    # A 20th of the run is less than 1.5 s, from flip to flip, up to 30 s: until then every flip closed is concluded.
    assert early[1] - 2 <= early[0] <= early[1]
    # At 30 to 58 s it is 1.5 to 2.9 s: 18 flips are closed, and one in two is concluded, or a few more.
    assert 8 <= helper.concluded - early[0] <= 13
