"""What the list of sessions says of a session's last run."""

from dataclasses import replace
from pathlib import Path

from benchapp.desk.loading import load
from benchapp.presentation.screens.recent_told import recent_told
from benchapp.records.findings import Latency
from benchapp.ui.kept.recents import Recent, recent_sessions, with_recent

SAMPLES = Path(__file__).parents[2] / "sample_sessions"


def last_runs():
    return [load(path).findings.runs[-1] for path in sorted(SAMPLES.glob("*.t2h"))[:3]]


def test_a_run_is_told_by_its_test_and_its_figure_and_below_the_least_number_by_how_many_were_answered():
    for run in last_runs():
        told = recent_told("A test", run)
        if not isinstance(run.result, Latency):
            assert told == "A test"
            continue
        assert told.startswith("A test: ")
        assert "ms, give or take" in told
        few = replace(run, result=replace(run.result, trials=run.result.trials[:3]))
        assert recent_told("A test", few).startswith("A test: 3 of ")


def test_what_is_told_is_remembered_and_lists_of_before_have_none():
    kept = with_recent("", Recent(path="/x/a.t2h", name="a", told="A test: 24 ms"))
    assert recent_sessions(kept)[0].told == "A test: 24 ms"
    assert recent_sessions('[{"path": "/x/a.t2h", "name": "a"}]')[0].told == ""
