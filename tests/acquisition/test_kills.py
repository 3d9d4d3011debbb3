"""A recording killed at any moment keeps everything that was acknowledged."""

import os
import subprocess
import sys
from pathlib import Path
from random import Random

import pytest

from benchapp.records.run import Outcome
from benchapp.sessions.opening import open_session
from benchapp.sessions.recovery import recover

ROOT = Path(__file__).resolve().parents[2]
KILLS = 30


def killed_after(tellings: int, path: Path) -> int:
    """Kill a recording after it has told so often; return the last count of records it acknowledged."""
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.acquisition.recording_child", "practice://birch?seed=5", str(path)],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    told = [process.stdout.readline() for _ in range(tellings)]
    process.kill()
    rest, _ = process.communicate(timeout=60)
    # The last line may have been cut by the kill; only whole ones were said.
    whole = [line for line in "".join([*told, rest]).splitlines(keepends=True) if line.endswith("\n")]
    return int(whole[-1])


def records_in(path: Path) -> int:
    session = open_session(path)
    assert not session.damage
    count = len(session.gaps(1))
    for lead in session.stretches[0].leads:
        count += session.edges(1, lead.index).count + session.levels(1, lead.index).count
    pairs = session.clock(1)
    return count + (pairs.probe_ns.size if pairs is not None else 0)


@pytest.mark.parametrize("kill", range(KILLS))
def test_a_killed_recording_has_every_acknowledged_record_and_none_half(tmp_path, kill):
    path = tmp_path / "a.t2h"
    acknowledged = killed_after(Random(kill).randint(1, 40), path)
    assert records_in(path) >= acknowledged
    session = open_session(path)
    assert "was stopped early" in session.kept
    assert all(run.outcome is Outcome.CUT_SHORT for run in session.runs())
    before = records_in(path)
    assert "was stopped early" in recover(path)
    assert open_session(path).kept == ""
    assert records_in(path) == before
