"""kill -9 at any moment: every acknowledged batch is there, none by half, and the session opens and can be closed."""

import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pytest

from benchapp.sessions.lock import is_held
from benchapp.sessions.opening import open_session, verify
from benchapp.sessions.recovery import recover
from tests.sessions.dying_writer import batch
from tests.sessions.session_builder import OUTPUT, STICK, SWITCH, new_writer

ROOT = Path(__file__).parents[2]
KILLS = 30


@contextmanager
def program(module: str, *words: str) -> Iterator[subprocess.Popen[str]]:
    """Run one of this room's programs; it is dead afterwards, whatever happens."""
    child = subprocess.Popen(
        [sys.executable, "-m", f"tests.sessions.{module}", *words],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        yield child
    finally:
        child.kill()
        child.wait()
        if child.stdout is not None:
            child.stdout.close()


def killed_after(path: Path, seed: int, *, batches: int, extra_s: float) -> tuple[int, int]:
    """Kill a writer a moment after it acknowledged some batches; return (batches, records) it acknowledged at least."""
    with program("dying_writer", str(path), str(seed)) as child:
        assert child.stdout is not None
        lines = [child.stdout.readline() for _ in range(batches)]
        timer = threading.Timer(extra_s, child.send_signal, [signal.SIGKILL])
        timer.start()
        lines += list(child.stdout)  # ends when the child does
        timer.join()
    whole = [line.split() for line in lines if line.endswith("\n")]
    return int(whole[-1][0]) + 1, int(whole[-1][1])


def check_batches(path: Path, seed: int, acknowledged: int, records: int) -> None:
    """Hold what lies in a file against the batches that were acknowledged."""
    session = open_session(path)
    assert session.damage == ()
    output, switch = session.edges(1, OUTPUT), session.edges(1, SWITCH)
    there = switch.count
    # A commit may have reached the disk with its acknowledgement still on the way; never more than that one.
    assert there in (acknowledged, acknowledged + 1)
    batches = [batch(seed, number) for number in range(there)]
    assert np.array_equal(output.times_ns, np.concatenate([edges.times_ns for edges, _, _ in batches]))
    assert np.array_equal(switch.times_ns, np.concatenate([edges.times_ns for _, edges, _ in batches]))
    assert session.levels(1, STICK).count == sum(count for _, _, count in batches)
    total = output.count + switch.count + session.levels(1, STICK).count
    assert total == records if there == acknowledged else total > records


@pytest.mark.parametrize("seed", range(KILLS))
def test_a_killed_writer_leaves_every_acknowledged_batch_and_none_by_half(tmp_path, seed):
    path = tmp_path / "a.t2h"
    chance = random.Random(seed)
    acknowledged, records = killed_after(path, seed, batches=chance.randrange(1, 60), extra_s=chance.uniform(0, 0.05))
    assert not is_held(path)  # the lock died with its holder
    check_batches(path, seed, acknowledged, records)
    kept = open_session(path).kept
    assert kept.startswith("was stopped early; ")
    blocks = kept.split("; ")[1].split()
    assert blocks[0] == blocks[2]
    if seed % 3 == 0:
        assert recover(path) == kept
        check_batches(path, seed, acknowledged, records)
        assert verify(path).ok
        assert [name.name for name in tmp_path.iterdir()] == ["a.t2h"]


def test_a_recovery_killed_at_any_moment_can_be_taken_up_again(tmp_path):
    path = tmp_path / "first.t2h"
    acknowledged, records = killed_after(path, 99, batches=40, extra_s=0.0)
    code = open_session(path).evidence_hash
    chance = random.Random(5)
    for attempt in range(6):
        again = tmp_path / f"again{attempt}" / "a.t2h"
        again.parent.mkdir()
        for ending in ("", "-wal", "-shm"):
            if path.with_name(path.name + ending).exists():
                shutil.copy(path.with_name(path.name + ending), again.with_name(again.name + ending))
        with program("dying_recovery", str(again)) as child:
            assert child.stdout is not None
            child.stdout.readline()
            timer = threading.Timer(chance.uniform(0, 0.04), child.send_signal, [signal.SIGKILL])
            timer.start()
            child.stdout.read()
            timer.join()
        assert open_session(again).evidence_hash == code
        check_batches(again, 99, acknowledged, records)
        recover(again)
        assert verify(again).ok
        assert verify(again).evidence_hash == code


def test_a_recovery_that_fails_at_any_of_its_steps_leaves_a_session_that_can_be_recovered(tmp_path, monkeypatch):
    path = tmp_path / "first.t2h"
    killed_after(path, 7, batches=10, extra_s=0.0)
    code = open_session(path).evidence_hash
    for step in ("put_event", "put_head", "back_to_one_file"):
        again = tmp_path / f"{step}.t2h"
        for ending in ("", "-wal"):
            shutil.copy(path.with_name(path.name + ending), again.with_name(again.name + ending))
        with monkeypatch.context() as patch:

            def fail(*_: object) -> None:
                raise sqlite3.OperationalError("disk I/O error")

            patch.setattr(f"benchapp.sessions.recovery.{step}", fail)
            with pytest.raises(Exception, match="disk"):
                recover(again)
        assert open_session(again).evidence_hash == code
        recover(again)
        assert verify(again).ok
        assert verify(again).evidence_hash == code


def test_a_killed_writer_s_file_can_be_written_anew(tmp_path):
    path = tmp_path / "a.t2h"
    killed_after(path, 3, batches=5, extra_s=0.0)
    writer = new_writer(path, force=True)
    writer.close()
    assert open_session(path).stretches == ()
    assert sorted(os.listdir(tmp_path)) == ["a.t2h"]
