"""`benchapp record` whose file is taken away in mid-run: said at once, status 3, never kept where it is not."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from benchapp.sessions.opening import verify

ROOT = Path(__file__).parents[2]


def record(path: Path):
    words = ["record", "--probe", "practice://alder?seed=4&pace=real&flips=golden", "--test", "switch-flip"]
    return subprocess.Popen(
        [sys.executable, "-m", "benchapp", *words, "--flips", "6", "--yes-safe", "--out", str(path)],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def wait_until_saved(process: subprocess.Popen[str], path: Path) -> None:
    """Wait for the first records to be on the disk."""
    wal = path.with_name(path.name + "-wal")
    while process.poll() is None:
        if wal.exists() and wal.stat().st_size > 30_000:
            return
    pytest.fail(f"it ended before anything was saved: {process.communicate()}")


@pytest.mark.parametrize("how", ["removed", "replaced", "folder"])
def test_it_says_so_at_once_and_where_the_run_is(tmp_path, recorded, how):
    folder = tmp_path / "today"
    folder.mkdir()
    path = folder / "a.t2h"
    shutil.copy(recorded, folder / "other.t2h")
    process = record(path)
    try:
        wait_until_saved(process, path)
        if how == "removed":
            path.unlink()
        elif how == "replaced":
            os.replace(folder / "other.t2h", path)
        else:
            shutil.rmtree(folder)
        said = ""
        while "taken away" not in said:
            line = process.stderr.readline()
            assert line, "it ended without a word"
            said += line
        running = process.poll() is None
        out, err = process.communicate(timeout=120)
    finally:
        process.kill()
        process.wait()
    new = (tmp_path if how == "folder" else folder) / "a 2.t2h"
    assert running
    assert "The recording goes on in" in said
    assert process.returncode == 3, (said, out, err)
    assert f"Kept in '{new}', evidence code sha256:" in out
    assert f"Kept in '{path}'" not in out
    assert verify(new).ok
    if how == "replaced":
        assert verify(path).evidence_hash == verify(recorded).evidence_hash
