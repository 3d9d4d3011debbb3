"""Stick tests through the recording: from the practice bench's hand to the session file."""

import json
import threading

import pytest

from benchapp.acquisition.wishes import CloseSession, Confirm, Drive, Drop, NewSession, StartRun, TakeStop, Undrop
from benchapp.probe.opening import open_link
from benchapp.procedures.gate import offered_lines
from benchapp.records.errors import WrongCall
from benchapp.records.run import Origin, Outcome, RunSettings
from benchapp.sessions.opening import open_session, verify
from tests.acquisition.fakes import OPENED, finish, opener, practice

HAND, PLACE = 8, 9
READS_A_SECOND = 50
FIVE = (-30.0, -15.0, 0.0, 15.0, 30.0)


@pytest.fixture(autouse=True)
def no_thread_is_left():
    before = set(threading.enumerate())
    yield
    while OPENED:
        OPENED.pop().close()
    assert [thread for thread in threading.enumerate() if thread not in before and thread.is_alive()] == []


def ask(recording, path, test, told, **changes) -> None:
    for line in offered_lines(Origin.PRACTICE):
        recording.wish(Confirm(line=line.value))
    recording.wish(StartRun(test=test, settings=told, **{"alone": True, **changes}))
    recording.wish(NewSession(path=path, name="test"))


def recorded(url, path, test, told, **changes):
    recording = practice(url)
    ask(recording, path, test, told, **changes)
    finish(recording)
    assert recording.failure is None
    assert verify(path).ok
    return open_session(path).runs()


def test_a_sweep_is_recorded_whole_with_the_stick_s_samples(tmp_path):
    path = tmp_path / "a.t2h"
    (run,) = recorded("practice://birch?seed=3&motion=sweep", path, "stick-sweep", RunSettings(cycles=3))
    assert (run.test, run.outcome, run.settings.cycles) == ("stick-sweep", Outcome.COMPLETE, 3)
    samples = run.leads["stick"].levels
    seconds = (run.stop_ns - run.start_ns) / 1e9
    assert samples.count == pytest.approx(250 * seconds, rel=0.02)
    assert samples.values.max() - samples.values.min() > 700
    assert run.leads["output"].edges.count > 80 * seconds
    assert {"module", "output", "stick"} <= set(run.leads)


def test_stops_lie_in_the_hand_s_holds_and_at_their_positions(tmp_path):
    truth = tmp_path / "truth.json"
    url = "practice://alder?seed=4&motion=stops&stops=5"
    recording = practice(lambda: open_link(url, truth=truth))
    ask(recording, tmp_path / "a.t2h", "stick-sweep", RunSettings(cycles=3, stops_deg=FIVE))
    finish(recording)
    (run,) = open_session(tmp_path / "a.t2h").runs()
    assert run.outcome is Outcome.COMPLETE
    assert len(run.stops) == 1 + 3 * 8
    holds = [move for move in json.loads(truth.read_text())["moves"] if move["from"] == move["to"]]
    for stop in run.stops:
        (hold,) = [m for m in holds if m["from_s"] <= stop.from_ns / 1e9 and stop.to_ns / 1e9 <= m["to_s"]]
        assert stop.position_deg == pytest.approx(60 * hold["to"] - 30)


def test_a_hold_is_recorded_whole(tmp_path):
    (run,) = recorded(
        "practice://cedar?seed=5&motion=still", tmp_path / "a.t2h", "hold-still", RunSettings(seconds=6.0)
    )
    assert (run.test, run.outcome) == ("hold-still", Outcome.COMPLETE)
    (settling,) = run.pauses
    assert (settling.reason, settling.from_ns) == ("settling", run.start_ns)
    assert (run.stop_ns - settling.to_ns) / 1e9 == pytest.approx(6.0, abs=0.001)


def test_a_sweep_needs_a_lead_on_the_stick(tmp_path):
    recording = practice("practice://alder?seed=6")
    ask(recording, tmp_path / "a.t2h", "stick-sweep", RunSettings(cycles=3))
    finish(recording)
    assert isinstance(recording.failure, WrongCall)
    assert "No lead is clipped to the stick" in recording.failure.message


def test_by_stops_or_held_it_needs_none(tmp_path):
    recording = practice("practice://alder?seed=6&flips=none")
    ask(recording, tmp_path / "a.t2h", "hold-still", RunSettings(seconds=2.0))
    finish(recording)
    assert recording.failure is None
    assert open_session(tmp_path / "a.t2h").runs()[0].outcome is Outcome.COMPLETE


def test_settings_that_make_no_sense_are_refused(tmp_path):
    recording = practice("practice://alder?seed=7&motion=stops")
    ask(recording, tmp_path / "a.t2h", "stick-sweep", RunSettings(stops_deg=(0.0, 1.0)))
    finish(recording)
    assert "5 to 101 positions" in recording.failure.message


def scripted(url, script):
    """Open a bench whose recording is wished something at certain reads (fifty a second): {read: wishes}."""
    made = []

    def before_read(reads: int) -> None:
        for wish in script.get(reads, ()):
            made[0].wish(wish)
        if reads == max(script) + 5:
            made[0]._conductor.stopping.set()

    made.append(practice(opener(url, before_read), patient=True))
    return made[0]


def at(seconds: float) -> int:
    return round(seconds * READS_A_SECOND)


def test_with_somebody_there_stops_are_taken_when_told_dropped_and_taken_back(tmp_path):
    path = tmp_path / "a.t2h"
    script = {
        at(2): [TakeStop()],
        at(3): [Drive(lead=PLACE, level=60)],
        at(5): [TakeStop()],
        at(6): [Drop()],
        at(7): [Undrop()],
        at(8): [Drive(lead=PLACE, level=120)],
        at(9): [TakeStop()],
        at(11): [Drop()],
        at(12): [CloseSession()],
    }
    recording = scripted("practice://alder?seed=8&motion=none", script)
    ask(recording, path, "stick-sweep", RunSettings(cycles=3, stops_deg=FIVE), alone=False)
    finish(recording)
    (run,) = open_session(path).runs()
    assert [stop.position_deg for stop in run.stops] == [-30.0, -15.0]
    assert len(run.drops_ns) == 1
    assert run.outcome is Outcome.CUT_SHORT


def test_one_session_holds_a_sweep_and_a_hold_moved_by_the_bench_s_hand(tmp_path):
    path = tmp_path / "a.t2h"
    script = {
        at(1): [Drive(lead=HAND, level=1)],
        at(50): [Drive(lead=HAND, level=0), Drive(lead=PLACE, level=120)],
        at(53): [StartRun(test="hold-still", settings=RunSettings(seconds=5.0))],
        at(60): [CloseSession()],
    }
    recording = scripted("practice://alder?seed=9&motion=none", script)
    ask(recording, path, "stick-sweep", RunSettings(cycles=3), alone=False)
    finish(recording)
    sweep, hold = open_session(path).runs()
    assert (sweep.test, sweep.outcome) == ("stick-sweep", Outcome.COMPLETE)
    assert (hold.test, hold.outcome) == ("hold-still", Outcome.COMPLETE)
    assert hold.start_ns > sweep.stop_ns
    assert recording.status().run.test == "hold-still"
