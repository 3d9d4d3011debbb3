"""The figures a stick test shows while it goes on are those of its reduction, and what is left is counted."""

import pytest

from benchapp.procedures.hold.run_part import begin as begin_hold
from benchapp.procedures.sweep.guide import LEAST_SHARE, SweepGuide
from benchapp.procedures.sweep.run_part import begin as begin_sweep
from benchapp.records.events import EventKind
from benchapp.records.run import LeadEvidence, Origin, Outcome, Pause, PickUp, RunEvidence, RunSettings, Stop
from benchapp.reduction.recipes import reduce_run
from tests.procedures.told_stick import OUTPUT, STICK, S, ToldStick, only, plan, play, stops_way, strokes

UNEVEN = (1.0, 1.0, 0.65, 0.65, 1.4, 1.4)
FIVE = (-30.0, -15.0, 0.0, 15.0, 30.0)
UP_DOWN = (0.0, 0.25, 0.5, 0.75, 1.0, 0.75, 0.5, 0.25, 0.0)


def evidence(events, stick, test, told) -> RunEvidence:
    """Return the whole run as a session file would give it to the reduction."""
    paused = [event for event in events if event.kind is EventKind.PAUSE]
    resumed = [event for event in events if event.kind is EventKind.RESUME]
    pauses = [
        Pause(from_ns=begun.at_ns, to_ns=over.at_ns, reason=begun.detail["reason"])
        for begun, over in zip(paused, resumed, strict=True)
    ]
    stops = [event.detail for event in events if event.kind is EventKind.STOP_TAKEN]
    return RunEvidence(
        run=1,
        test=test,
        origin=Origin.PRACTICE,
        pick_up=PickUp.UNKNOWN,
        outcome=Outcome.COMPLETE,
        start_ns=0,
        stop_ns=only(events, EventKind.RUN_STOP).at_ns,
        leads={
            "output": LeadEvidence(lead=OUTPUT, role="output", edges=stick.edges),
            "stick": LeadEvidence(lead=STICK, role="stick", levels=stick.levels),
        },
        pauses=tuple(pauses),
        settings=told,
        stops=tuple(Stop(**detail) for detail in stops),
    )


def test_a_sweep_s_last_live_figures_are_those_of_the_whole_run():
    told, seen = RunSettings(cycles=3), []
    run = begin_sweep(plan("stick-sweep", told))
    way = strokes(6, speeds=UNEVEN)
    stick = ToldStick(way=way, seconds=way[-1][0] + 1.5)
    events = play(run, stick, seen=lambda run, _: seen.append(run.progress().stick))
    found = reduce_run(evidence(events, stick, "stick-sweep", told)).result
    assert run.progress().stick.linearity_pct == pytest.approx(found.lines["independent"].deviation_pct, rel=1e-9)
    assert run.progress().stick.linearity_u_pct == pytest.approx(found.expanded_uncertainty_pct, rel=1e-9)
    assert run.progress().stick.high_us == pytest.approx(found.high_us, rel=1e-9)
    assert all(shown.linearity_pct is None for shown in seen if not shown.cycles)
    assert all(shown.linearity_pct is not None for shown in seen if shown.cycles)


def test_a_sweep_by_stops_shows_the_pulse_at_the_last_stop_and_the_straightness_from_a_cycle_on():
    told, seen = RunSettings(stops_deg=FIVE, cycles=1), []
    run = begin_sweep(plan("stick-sweep", told, takes_itself=True))
    way = stops_way(UP_DOWN)
    stick = ToldStick(way=way, seconds=way[-1][0] + 1)
    events = play(run, stick, seen=lambda run, _: seen.append(run.progress().stick))
    at_second = [shown.last_us for shown in seen if shown.stops == 2]
    assert at_second[0] == pytest.approx(1100 + 800 * 0.25, abs=1.0)
    assert {shown.mark for shown in seen if shown.stops == 2} == {3}
    assert run.progress().outcome == "complete"
    found = reduce_run(evidence(events, stick, "stick-sweep", told)).result
    assert run.progress().stick.linearity_pct == pytest.approx(found.lines["independent"].deviation_pct, rel=1e-9)


def test_a_hold_shows_how_unsteady_the_pulses_are():
    told = RunSettings(seconds=5.0)
    run, seen = begin_hold(plan("hold-still", told)), []
    stick = ToldStick(way=[(0, 0.4), (1, 0.4)], seconds=8, noise_us=0.7)
    events = play(run, stick, seen=lambda run, _: seen.append(run.progress().stick))
    assert seen[5].sd_us is None
    assert next(shown for shown in seen if shown.held_s > 3).sd_us == pytest.approx(0.7, abs=0.15)
    found = reduce_run(evidence(events, stick, "hold-still", told)).result
    assert run.progress().stick.sd_us == pytest.approx(found.sd_us, rel=1e-9)
    assert run.progress().stick.peak_us == pytest.approx(found.peak_to_peak_us, rel=1e-9)


def test_what_is_left_is_told_in_minutes_and_falls():
    left = []
    way = strokes(6, speeds=UNEVEN)
    run = begin_sweep(plan("stick-sweep", RunSettings(cycles=3)))
    play(
        run, ToldStick(way=way, seconds=way[-1][0] + 1.5), seen=lambda run, _: left.append(run.progress().minutes_left)
    )
    assert left[0] * 60 == pytest.approx(2 * (5 + 5 / 0.65 + 5 / 1.4) + 6, abs=0.1)
    assert left[-2] < 0.3
    assert left[-1] is None
    hold = begin_hold(plan("hold-still", RunSettings(seconds=6.0, positions=2)))
    assert hold.progress().minutes_left * 60 == pytest.approx(12.0)


def test_before_the_far_end_is_known_it_is_expected_on_the_other_side_of_the_middle():
    guide = SweepGuide(LEAST_SHARE * 3.3)
    guide.rested(0.5)
    assert guide.expected_v == pytest.approx((0.5, 2.8))
    guide.begin(0, 0.5)
    assert guide.target(round(2.5 * S)) == pytest.approx(0.5)
    middle = SweepGuide(LEAST_SHARE * 3.3)
    middle.rested(1.6)
    assert middle.expected_v == (None, None)
    middle.begin(0, 1.6)
    assert middle.target(2 * S) is None


def test_a_dropped_stop_can_be_taken_back_until_it_is_set_anew():
    run = begin_sweep(plan("stick-sweep", RunSettings(stops_deg=FIVE, cycles=1), takes_itself=True))
    assert (run.progress().stick.can_drop, run.progress().stick.can_undrop) == (False, False)
    way = stops_way((0.0, 0.25, 0.5))
    stick = ToldStick(way=way, seconds=way[-1][0] + 1)
    dropped = False
    for now, records in stick.slices(range(20_000_000, round(stick.seconds * S), 20_000_000)):
        run.see(records, now)
        if run.progress().stick.stops == 2 and not dropped:
            run.drop(now)
            dropped = True
            assert run.progress().stick.can_undrop
    assert run.progress().stick.stops == 2
    assert run.progress().stick.can_drop
    assert not run.progress().stick.can_undrop
