"""Stick tests recorded without a window: the practice bench's hand takes up what the test asks for."""

import json

import pytest

from benchapp.desk.recording import RecordOrder, check_order, preset_stops, record
from benchapp.records.errors import ProbeTrouble, WrongCall
from benchapp.records.run import Outcome, RunSettings
from benchapp.sessions.opening import open_session


def recorded(folder, test, told, probe="practice://birch?seed=2"):
    order = RecordOrder(
        probe=probe,
        test=test,
        out=folder / "s.t2h",
        settings=told,
        confirmed=("practice",),
        truth=folder / "truth.json",
    )
    found = record(order, lambda status: None)
    (run,) = open_session(order.out).runs()
    return found, run, json.loads(order.truth.read_text())


def test_a_plain_practice_url_is_swept_where_a_sweep_is_asked_for(tmp_path):
    found, run, truth = recorded(tmp_path, "stick-sweep", RunSettings(cycles=3))
    assert found.trouble is None
    assert found.run.stick.cycles == 3
    assert run.outcome is Outcome.COMPLETE
    assert truth["sweep"]["against"] == "stick-voltage"
    assert truth["flips"] == []


def test_it_goes_by_the_stops_that_were_typed(tmp_path):
    stops = (-30.0, -12.0, 0.0, 7.5, 30.0)
    found, run, truth = recorded(tmp_path, "stick-sweep", RunSettings(cycles=1, stops_deg=stops))
    assert found.trouble is None
    assert [stop.position_deg for stop in run.stops] == [*stops, *stops[-2::-1]]
    assert truth["sweep"]["stops_deg"] == list(stops)


def test_it_is_held_still_where_that_is_asked_for_at_one_place_or_at_several(tmp_path):
    found, run, _ = recorded(tmp_path, "hold-still", RunSettings(seconds=4.0, positions=3))
    assert found.trouble is None
    assert [pause.reason for pause in run.pauses] == ["settling", *["next-position"] * 2]
    assert run.outcome is Outcome.COMPLETE


def test_the_truth_is_never_in_the_session(tmp_path):
    recorded(tmp_path, "stick-sweep", RunSettings(cycles=1))
    assert b"independent_pct" not in (tmp_path / "s.t2h").read_bytes()


def test_a_stick_that_nobody_moves_is_a_trouble_that_is_said_and_kept(tmp_path):
    found, run, _ = recorded(
        tmp_path, "stick-sweep", RunSettings(cycles=3), probe="practice://alder?seed=2&motion=still"
    )
    assert isinstance(found.trouble, ProbeTrouble)
    assert "Nobody moved the stick" in found.trouble.message
    assert run.outcome is Outcome.CUT_SHORT


def test_settings_that_make_no_sense_cost_no_file(tmp_path):
    order = RecordOrder(
        probe="practice://birch",
        test="stick-sweep",
        out=tmp_path / "s.t2h",
        settings=RunSettings(stops_deg=(0.0, 1.0)),
        confirmed=("practice",),
    )
    with pytest.raises(WrongCall, match="5 to 101 positions"):
        check_order(order)
    assert list(tmp_path.iterdir()) == []


def test_there_are_presets_of_four_sizes_only():
    assert [len(preset_stops(count)) for count in (5, 9, 11, 21)] == [5, 9, 11, 21]
    with pytest.raises(WrongCall, match="not 7"):
        preset_stops(7)
