"""The short form of the soak, and that it finds what it looks for."""

import pytest

from benchapp.acquisition.status import LinkState, Status
from benchapp.procedures.ground import conclusions
from benchapp.procedures.ground.progress import Prompt, RunProgress
from benchapp.records.errors import DiskTrouble
from benchapp.records.run import Origin
from tests.campaigns import soak as campaign
from tests.campaigns.soak import FULL_HOURS, Watch, faults, soak

MINUTE_S = 60.0


@pytest.mark.parametrize("test", ["switch-flip", "stick-sweep"])
def test_four_minutes_of_a_run_end_as_asked_with_flat_memory(tmp_path, monkeypatch, test):
    monkeypatch.setattr(conclusions, "SHOWN_FOR_NS", 60_000_000_000)
    watch = Watch(settled_s=1.5 * MINUTE_S)
    recorded, _ = soak(tmp_path, test=test, seconds=4 * MINUTE_S, watch=watch)
    assert faults(recorded, 0.0, watch, hours=FULL_HOURS) == []
    assert watch.looks


def status(seconds: float, outcome: str = "") -> Status:
    run = RunProgress(run=1, test="hold-still", prompt=Prompt.DONE, flips=0, answered=0, outcome=outcome)
    return Status(link=LinkState.RECORDING, probe="", origin=Origin.PRACTICE, recorded_s=seconds, run=run)


def test_memory_that_grows_is_found_after_half_an_hour_and_not_before_or_after_the_run(monkeypatch):
    held = [10_000_000]
    monkeypatch.setattr(campaign, "memory_bytes", lambda: held[0])
    watch = Watch()
    for seconds, now in ((10.0, 90_000_000), (1_800.0, 20_000_000), (9_000.0, 26_000_000), (12_000.0, 21_000_000)):
        held[0] = now
        watch.look(status(seconds))
    held[0] = 99_000_000
    watch.look(status(13_000.0, outcome="complete"))
    assert watch.grown_bytes == 6_000_000
    assert watch.looks == 3


def test_what_is_wrong_is_named():
    class Ended:
        trouble = DiskTrouble("full")
        run = RunProgress(run=1, test="hold-still", prompt=Prompt.DONE, flips=0, answered=0, stop_reason="by-hand")

    watch = Watch(first_bytes=1, most_bytes=6_000_001, looks=1)
    assert faults(Ended(), 601.0, watch, hours=8.0) == [
        "it ended early: by-hand, full",
        "memory grew by 6.0 MB",
        "it took 601 s",
    ]
    assert "memory was never looked at" in faults(Ended(), 1.0, Watch(), hours=8.0)


def test_the_memory_of_this_process_is_what_the_system_says():
    before = campaign.memory_bytes()
    held = bytearray(b"x" * 50_000_000)
    assert campaign.memory_bytes() - before > 40_000_000
    assert held
