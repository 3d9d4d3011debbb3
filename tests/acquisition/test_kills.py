"""A recording killed at any moment keeps everything that was acknowledged."""

import os
import signal
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


@pytest.fixture(scope="module")
def recorder():
    """Return a process that records, in a child for each line it is told, until the child is killed."""
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.acquisition.recording_child"],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    yield process
    process.communicate(timeout=60)  # no more lines, so it ends
    assert process.returncode == 0


def killed_after(recorder, tellings: int, path: Path) -> int:
    """Kill a recording after it has told so often; return the last count of records it acknowledged."""
    recorder.stdin.write(f"practice://birch?seed=5\t{path}\n")
    recorder.stdin.flush()
    told, child = [], 0
    while (line := recorder.stdout.readline().strip()) != "gone":
        assert line, "the recorder itself ended"
        if line.startswith("child "):
            child = int(line.split()[1])
        else:
            told.append(int(line))
        if child and len(told) == tellings:
            os.kill(child, signal.SIGKILL)
    assert len(told) >= tellings
    return told[-1]


def records_in(path: Path) -> int:
    session = open_session(path)
    assert not session.damage
    count = len(session.gaps(1))
    for lead in session.stretches[0].leads:
        count += session.edges(1, lead.index).count + session.levels(1, lead.index).count
    pairs = session.clock(1)
    return count + (pairs.probe_ns.size if pairs is not None else 0)


@pytest.mark.parametrize("kill", range(KILLS))
def test_a_killed_recording_has_every_acknowledged_record_and_none_half(tmp_path, recorder, kill):
    path = tmp_path / "a.t2h"
    acknowledged = killed_after(recorder, Random(kill).randint(1, 40), path)
    assert records_in(path) >= acknowledged
    session = open_session(path)
    assert "was stopped early" in session.kept
    assert all(run.outcome is Outcome.CUT_SHORT for run in session.runs())
    before = records_in(path)
    assert "was stopped early" in recover(path)
    assert open_session(path).kept == ""
    assert records_in(path) == before
