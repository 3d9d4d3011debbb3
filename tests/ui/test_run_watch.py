"""A run's findings are made once its end is in the file, and not before."""

from benchapp.acquisition.status import LinkState, Status
from benchapp.procedures.ground.progress import Prompt, RunProgress
from benchapp.records.run import Origin
from benchapp.ui.link.run_watch import RunWatch


def status(**changes):
    run = RunProgress(run=2, test="", prompt=Prompt.DONE, flips=0, answered=0, outcome="complete")
    told = {"link": LinkState.RECORDING, "probe": "", "origin": Origin.PRACTICE, "session": "a.t2h", "run": run}
    return Status(**{**told, **changes})


def test_a_commit_that_was_under_way_when_the_run_ended_is_not_its_end():
    watch = RunWatch()
    assert watch.ended_run(status()) == 2
    assert watch.saved_session(status(saved_run=1, saved_ago_s=0.0)) == ""
    assert watch.saved_session(status(saved_run=2, saved_ago_s=0.0)) == "a.t2h"
    assert watch.saved_session(status(saved_run=2, saved_ago_s=0.0)) == ""
