import numpy as np
import pytest

from benchapp.records.events import SWITCH_ON, Event, EventKind
from benchapp.records.run import Origin, Outcome, PickUp, Polarity, RunSettings, Stop
from benchapp.records.stream import Gap
from benchapp.sessions.evidence import LOOK_BACK_NS
from benchapp.sessions.opening import open_session
from benchapp.sessions.runs import STOPPED_EARLY, run_start_event, run_stop_event, stop_taken_event
from tests.sessions.session_builder import (
    OUTPUT,
    STICK,
    SWITCH,
    edges,
    new_writer,
    pairs,
    pulses,
    samples,
    small_session,
    start,
    stop,
    stretch,
)

S = 1_000_000_000


def session_of(tmp_path, events, *, seconds=20, stretches=1, **words):
    writer = new_writer(tmp_path / "a.t2h", **words)
    for number in range(1, stretches + 1):
        origin_ns = (number - 1) * seconds * S
        writer.add_stretch(stretch(number, origin_ns=origin_ns))
        writer.add_record(number, pulses(origin_ns, origin_ns + (seconds - 1) * S))
        writer.add_record(number, edges(SWITCH, [origin_ns + flip * S + number for flip in range(1, seconds)]))
        writer.add_record(number, samples(origin_ns, (seconds - 1) * 1000))
        writer.add_record(number, pairs(origin_ns, (seconds - 1) * 10))
    for event in events:
        writer.add_event(event)
    writer.close()
    return open_session(tmp_path / "a.t2h")


def pause(at_s, reason="asked"):
    return Event(kind=EventKind.PAUSE, at_ns=at_s * S, run=1, detail={"reason": reason})


def resume(at_s):
    return Event(kind=EventKind.RESUME, at_ns=at_s * S, run=1)


def drop(flip_ns, run=1, kind=EventKind.DROP):
    return Event(kind=kind, at_ns=9 * S, run=run, detail={"flip_ns": flip_ns})


def test_a_run_says_what_its_start_and_stop_said(tmp_path):
    told = RunSettings(hold_off_ns=30_000_000, flips=60, seconds=2.5, target_ms=0.5)
    begin = run_start_event(
        run=3,
        at_ns=2 * S,
        test="switch-flip",
        roles={OUTPUT: "output", STICK: "switch"},
        polarity={"output": Polarity.LOW},
        pick_up=PickUp.TAPED,
        stretch=1,
        settings=told,
    )
    end = run_stop_event(run=3, at_ns=12 * S, outcome=Outcome.COMPLETE, reason="target", stopped_itself=True)
    session = session_of(tmp_path, [begin, end], origin=Origin.PRACTICE)
    (run,) = session.runs()
    assert (run.run, run.test, run.origin, run.pick_up) == (3, "switch-flip", Origin.PRACTICE, PickUp.TAPED)
    assert (run.outcome, run.start_ns, run.stop_ns) == (Outcome.COMPLETE, 2 * S, 12 * S)
    assert run.settings == told
    assert run.stopped_itself
    assert run.clock_tolerance_ppm == 5000.0
    assert not run.damaged
    assert run.leads["output"].polarity is Polarity.LOW
    assert run.leads["switch"].levels is not None
    assert run.leads["switch"].edges is None
    assert session.facts.pick_up is PickUp.TAPED


def test_a_run_sees_its_own_leads_from_five_seconds_before_its_start_to_its_stop(tmp_path):
    session = session_of(tmp_path, [start(at_ns=8 * S), stop(at_ns=12 * S)])
    (run,) = session.runs()
    assert set(run.leads) == {"output", "switch"}
    assert "stick" not in run.leads
    flips = run.leads["switch"].edges
    assert flips.times_ns.tolist() == [second * S + 1 for second in range(3, 12)]
    assert run.leads["output"].edges.times_ns[0] >= 8 * S - LOOK_BACK_NS
    assert run.clock.probe_ns[-1] == 12 * S
    assert run.clock.probe_ns[0] == 0


def test_a_lead_is_unpacked_only_when_it_is_asked_for(tmp_path, monkeypatch):
    session = session_of(tmp_path, [start(at_ns=S), stop(at_ns=12 * S)])
    asked = []
    real = session.edges
    monkeypatch.setattr(session, "edges", lambda stretch, lead, *span: asked.append(lead) or real(stretch, lead, *span))
    (run,) = session.runs()
    assert asked == []
    assert run.leads["switch"] is run.leads["switch"]
    assert asked == [SWITCH]


def test_a_run_outlives_the_file(tmp_path):
    with session_of(tmp_path, [start(at_ns=S), stop(at_ns=12 * S)]) as session:
        (run,) = session.runs()
    (tmp_path / "a.t2h").unlink()
    assert run.leads["switch"].edges.count == 11


def test_a_run_sees_one_stretch_only(tmp_path):
    events = [start(at_ns=15 * S), stop(at_ns=19 * S), start(run=2, at_ns=21 * S, number=2), stop(run=2, at_ns=30 * S)]
    session = session_of(tmp_path, events, stretches=2)
    first, second = session.runs()
    assert first.leads["switch"].edges.times_ns[-1] == 18 * S + 1
    assert second.leads["switch"].edges.times_ns.tolist() == [second * S + 2 for second in range(21, 30)]
    assert second.clock.probe_ns[0] == 20 * S


def test_pauses_are_spans_and_a_pause_inside_a_pause_ends_the_one_before(tmp_path):
    events = [
        start(at_ns=S),
        pause(2),
        resume(3),
        pause(4, "bad-signal"),
        pause(5, SWITCH_ON),
        resume(6),
        resume(7),
        pause(8),
        stop(at_ns=12 * S),
    ]
    (run,) = session_of(tmp_path, events).runs()
    spans = [(pause.from_ns // S, pause.to_ns // S, pause.reason) for pause in run.pauses]
    assert spans == [(2, 3, "asked"), (4, 5, "bad-signal"), (5, 6, SWITCH_ON), (8, 12, "asked")]


def test_drops_are_those_not_taken_back(tmp_path):
    events = [
        start(at_ns=S),
        drop(5 * S + 1),
        drop(3 * S + 1),
        drop(5 * S + 1, kind=EventKind.UNDROP),
        drop(4 * S + 1, run=2),
        stop(at_ns=12 * S),
        drop(7 * S + 1),
    ]
    (run,) = session_of(tmp_path, events).runs()
    assert run.drops_ns == (3 * S + 1, 7 * S + 1)


def test_a_run_that_was_never_stopped_is_cut_short_at_the_last_stamp(tmp_path):
    writer = new_writer(tmp_path / "a.t2h")
    writer.add_stretch(stretch())
    writer.add_event(start(at_ns=S))
    writer.add_record(1, edges(SWITCH, [2 * S, 5 * S + 7]))
    writer.commit()
    writer.abandon()
    (run,) = open_session(tmp_path / "a.t2h").runs()
    assert (run.outcome, run.stop_ns, run.stopped_itself) == (Outcome.CUT_SHORT, 5 * S + 7, False)
    assert STOPPED_EARLY == "stopped-early"


def test_gaps_reach_the_leads_they_touch(tmp_path):
    writer = new_writer(tmp_path / "a.t2h")
    writer.add_stretch(stretch())
    writer.add_record(1, pulses(0, 10 * S))
    writer.add_record(1, edges(SWITCH, [S, 2 * S]))
    mine = Gap(leads=(SWITCH,), from_ns=3 * S, to_ns=4 * S, cause="lost-in-probe", count=2)
    everyone = Gap(leads=(), from_ns=2 * S, to_ns=2 * S + 5, cause="damaged frame")
    later = Gap(leads=(), from_ns=11 * S, to_ns=12 * S, cause="damaged frame")
    for gap in (mine, everyone, later):
        writer.add_record(1, gap)
    writer.add_event(start(at_ns=S))
    writer.add_event(stop(at_ns=10 * S))
    writer.close()
    (run,) = open_session(tmp_path / "a.t2h").runs()
    assert run.leads["switch"].gaps == (everyone, mine)
    assert run.leads["output"].gaps == (everyone,)


def test_a_capture_may_begin_before_zero(tmp_path):
    writer = new_writer(tmp_path / "a.t2h", origin=Origin.CAPTURE)
    writer.add_stretch(stretch())
    writer.add_record(1, edges(SWITCH, [-3 * S, -1, 0, S]))
    writer.add_event(start(at_ns=-3 * S))
    writer.add_event(stop(at_ns=S))
    writer.close()
    (run,) = open_session(tmp_path / "a.t2h").runs()
    assert run.leads["switch"].edges.times_ns.tolist() == [-3 * S, -1, 0, S]
    assert run.clock is None
    assert open_session(tmp_path / "a.t2h").facts.started is None


SWEEP = RunSettings(cycles=3, stops_deg=(-30.0, 0.0, 12.5), stop_half_width_deg=0.25, positions=4, seconds=20.0)


def test_a_run_says_what_it_was_told_of_cycles_stops_and_positions(tmp_path):
    begin = run_start_event(
        run=1, at_ns=S, test="stick-sweep", roles={}, pick_up=PickUp.UNKNOWN, stretch=1, settings=SWEEP
    )
    (run,) = session_of(tmp_path, [begin, stop(at_ns=9 * S)]).runs()
    assert run.settings == SWEEP


def test_a_run_says_what_correction_was_entered(tmp_path):
    told = RunSettings(correction_ms=-1.5, correction_within_ms=0.2)
    begin = run_start_event(
        run=1, at_ns=S, test="switch-flip", roles={}, pick_up=PickUp.UNKNOWN, stretch=1, settings=told
    )
    (run,) = session_of(tmp_path, [begin, stop(at_ns=9 * S)]).runs()
    assert run.settings == told


def test_what_a_run_was_not_told_stands_in_no_entry():
    begin = run_start_event(run=1, at_ns=S, test="switch-flip", roles={}, pick_up=PickUp.UNKNOWN, stretch=1)
    assert set(begin.detail["settings"]) == {"hold_off_ns", "flips", "seconds", "target_ms"}


@pytest.mark.parametrize(
    "told",
    [
        {"cycles": 0, "positions": -1, "stop_half_width_deg": -0.5, "stops_deg": "no"},
        {"cycles": True, "positions": "4", "stop_half_width_deg": [], "stops_deg": [1, "2"]},
        {"cycles": 1.5, "stops_deg": [0.0] * 1001},
        {"stops_deg": [10**400]},
        {"correction_ms": 1.0},
        {"correction_ms": 1.0, "correction_within_ms": -0.1},
        {"correction_ms": 1e9, "correction_within_ms": 0.1},
        {"correction_ms": "1", "correction_within_ms": None},
    ],
)
def test_settings_that_make_no_sense_are_as_if_nobody_had_asked(tmp_path, told):
    begin = Event(kind=EventKind.RUN_START, at_ns=S, run=1, detail={"test": "stick-sweep", "settings": told})
    (run,) = session_of(tmp_path, [begin, stop(at_ns=9 * S)]).runs()
    assert run.settings == RunSettings()


def test_the_stops_taken_are_the_run_s_without_those_dropped(tmp_path):
    taken = [
        Stop(position_deg=deg, from_ns=at * S, to_ns=at * S + 400) for deg, at in ((-30.0, 2), (0.5, 4), (30.0, 6))
    ]
    log = [stop_taken_event(run=1, stop=one) for one in taken]
    log += [drop(taken[0].to_ns), drop(taken[1].to_ns), drop(taken[1].to_ns, kind=EventKind.UNDROP)]
    (run,) = session_of(tmp_path, [start(at_ns=S), *log, stop(at_ns=9 * S)]).runs()
    assert run.stops == tuple(taken[1:])


@pytest.mark.parametrize(
    "detail",
    [
        {},
        {"position_deg": "5", "from_ns": 1, "to_ns": 2},
        {"position_deg": True, "from_ns": 1, "to_ns": 2},
        {"position_deg": 5, "from_ns": 3, "to_ns": 2},
        {"position_deg": 5, "from_ns": 1.5, "to_ns": 2},
    ],
)
def test_a_stop_that_is_not_whole_is_none(tmp_path, detail):
    taken = Event(kind=EventKind.STOP_TAKEN, at_ns=2 * S, run=1, detail=detail)
    (run,) = session_of(tmp_path, [start(at_ns=S), taken, stop(at_ns=9 * S)]).runs()
    assert run.stops == ()


@pytest.mark.parametrize(
    "detail",
    [
        {},
        {"test": 5},
        {"test": "switch-flip", "roles": []},
        {"test": "switch-flip", "roles": {"x": "output", "1": 7, "99999999999999": "output"}},
        {"test": "switch-flip", "polarity": {"output": [1]}, "pick_up": {"a": 1}, "settings": "none"},
        {"test": "switch-flip", "settings": {"hold_off_ns": "x", "flips": True, "seconds": "1"}, "stretch": "one"},
        {"test": "switch-flip", "stretch": 9},
        {"test": "switch-flip", "roles": {"0": "<b>", "1": "output-99"}, "settings": {"hold_off_ns": -5}},
    ],
)
def test_a_start_that_makes_no_sense_raises_nothing(tmp_path, detail):
    begin = Event(kind=EventKind.RUN_START, at_ns=S, run=1, detail=detail)
    session = session_of(tmp_path, [begin, stop(at_ns=9 * S)])
    for run in session.runs():
        assert run.settings == RunSettings()
        assert run.pick_up is PickUp.UNKNOWN
        assert [run.leads[role].role for role in run.leads] == list(run.leads)
    assert session.facts.pick_up is PickUp.UNKNOWN


def test_a_stop_or_a_resume_before_its_beginning_is_no_negative_span(tmp_path):
    (run,) = session_of(tmp_path, [start(at_ns=9 * S), pause(12), resume(11), pause(13), stop(at_ns=S)]).runs()
    assert run.stop_ns == run.start_ns == 9 * S
    assert all(pause.to_ns >= pause.from_ns for pause in run.pauses)


def test_of_two_leads_with_one_role_the_lower_index_has_it(tmp_path):
    begin = run_start_event(
        run=1, at_ns=S, test="t", roles={SWITCH: "output", OUTPUT: "output"}, pick_up=PickUp.UNKNOWN, stretch=1
    )
    (run,) = session_of(tmp_path, [begin]).runs()
    assert run.leads["output"].lead.index == OUTPUT


def test_answers_notes_and_bench_are_folded(tmp_path):
    def entry(kind, **detail):
        return Event(kind=kind, at_ns=0, detail=detail)

    extra = [
        entry(EventKind.SAFETY, line="prop-off", answer="yes"),
        entry(EventKind.BENCH, transmitter="Alder", distance_m=2),
        entry(EventKind.SAFETY, line="power-order", answer="yes"),
        entry(EventKind.SAFETY, line="prop-off", answer="yes, again"),
        entry(EventKind.BENCH, transmitter="Birch"),
        entry(EventKind.NOTE, text="warm"),
        entry(EventKind.PUT_BACK, line="range-check", answer="not confirmed"),
    ]
    small_session(tmp_path / "a.t2h", seconds=1, extra=extra)
    facts = open_session(tmp_path / "a.t2h").facts
    assert facts.safety == (("prop-off", "yes, again"), ("power-order", "yes"))
    assert facts.put_back == (("range-check", "not confirmed"),)
    assert facts.bench == {"transmitter": "Birch", "distance_m": "2"}
    assert facts.notes == ("warm",)


def test_when_a_set_was_said_to_be_switched_off_and_on_is_kept_in_order(tmp_path):
    def said(at_ns, **detail):
        return Event(kind=EventKind.BENCH, at_ns=at_ns, detail=detail)

    extra = [said(9, switched_on="2026-11-25T10:00:00+01:00"), said(5, switched_on="x"), said(7, switched_on="")]
    small_session(tmp_path / "a.t2h", seconds=1, extra=[*extra, said(8, transmitter="Alder")])
    assert open_session(tmp_path / "a.t2h").facts.switched_on_ns == (5, 9)


def test_whole_numbers_of_numpy_are_stored_as_numbers(tmp_path):
    extra = [Event(kind=EventKind.DROP, at_ns=np.int64(5), run=1, detail={"flip_ns": np.int64(77)})]
    small_session(tmp_path / "a.t2h", seconds=2, extra=extra)
    (run,) = open_session(tmp_path / "a.t2h").runs()
    assert run.drops_ns == (77,)
