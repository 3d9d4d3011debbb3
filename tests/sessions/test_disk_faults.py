"""The disk refuses at every step, once and for ever: nothing is called saved that is not, and what was stays."""

import shutil
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from benchapp.records.errors import DiskTrouble
from benchapp.sessions.opening import open_session
from benchapp.sessions.store import SessionWriter
from tests.sessions.session_builder import SWITCH, edges, new_writer, stretch

S = 1_000_000_000


class FailingDisk:
    """A connection whose statement number `at` fails as the disk would, and each one after it where `forever`."""

    def __init__(self, connection: sqlite3.Connection, at: int, *, forever: bool) -> None:
        self._connection = connection
        self._at = at
        self._forever = forever
        self.count = 0

    @property
    def in_transaction(self) -> bool:
        return self._connection.in_transaction

    def execute(self, statement: str, cells: tuple[object, ...] = ()) -> sqlite3.Cursor:
        self.count += 1
        if self.count == self._at or (self._forever and self.count > self._at):
            raise sqlite3.OperationalError("disk I/O error")
        return self._connection.execute(statement, cells)

    def close(self) -> None:
        self._connection.close()


def write_until_trouble(writer: SessionWriter) -> tuple[int, DiskTrouble]:
    """Return what was acknowledged before the disk refused, and the trouble."""
    acknowledged = 0
    for second in range(1, 10):
        writer.add_record(1, edges(SWITCH, [second * S]))
        try:
            acknowledged = writer.commit()
        except DiskTrouble as trouble:
            return acknowledged, trouble
    pytest.fail("the disk never refused")


@pytest.mark.parametrize("forever", [False, True])
@pytest.mark.parametrize("step", range(1, 16))
def test_a_failure_at_any_step_stops_the_writer_and_keeps_exactly_what_was_acknowledged(tmp_path, step, forever):
    path = tmp_path / "a.t2h"
    writer = new_writer(path)
    disk = FailingDisk(writer._connection, step, forever=forever)
    writer._connection = disk  # type: ignore[assignment]
    writer.add_stretch(stretch())
    acknowledged, trouble = write_until_trouble(writer)
    assert "The disk failed while a.t2h was being written" in trouble.message
    assert f"{acknowledged} records" in trouble.kept
    before = disk.count
    with pytest.raises(DiskTrouble):
        writer.close()
    assert disk.count == before  # nothing more was asked of a disk that had failed
    writer.abandon()
    session = open_session(path)
    assert session.damage == ()
    assert session.edges(1, SWITCH).count == acknowledged
    # where the disk never took it back into one file, the note of how far it was saved stays
    left = {"a.t2h", "a.t2h.lock"} if forever else {"a.t2h"}
    assert {name.name for name in tmp_path.iterdir()} == left


SYNC_FAILS = """
import sys
from pathlib import Path
from benchapp.records.errors import DiskTrouble
from tests.sessions.session_builder import SWITCH, edges, new_writer, stretch
writer = new_writer(Path(sys.argv[1]))
writer.add_stretch(stretch())
acknowledged = 0
try:
    for second in range(1, 200):
        writer.add_record(1, edges(SWITCH, [second * 10**9]))
        acknowledged = writer.commit()
except DiskTrouble as trouble:
    print(acknowledged, trouble.message)
writer.abandon()
"""


def test_a_sync_that_fails_ends_the_recording_with_what_was_acknowledged(tmp_path):
    if shutil.which("strace") is None:
        pytest.skip("needs strace to make a sync fail")
    path = tmp_path / "a.t2h"
    inject = [
        "strace",
        "-f",
        "-qq",
        "-o",
        "/dev/null",
        "-e",
        "trace=fdatasync",
        "-e",
        "inject=fdatasync:error=EIO:when=40",
    ]
    done = subprocess.run(
        [*inject, sys.executable, "-c", SYNC_FAILS, str(path)],
        capture_output=True,
        text=True,
        check=False,
        cwd=Path(__file__).parents[2],
    )
    if done.returncode and "ptrace" in done.stderr:
        pytest.skip("this system does not allow a program to be traced")
    assert done.returncode == 0, done.stderr
    acknowledged, message = done.stdout.split(maxsplit=1)
    assert "The disk failed while a.t2h was being written" in message
    session = open_session(path)
    # The failed commit may or may not have reached the disk: it was not acknowledged, and it is never there by half.
    assert session.edges(1, SWITCH).count in (int(acknowledged), int(acknowledged) + 1)
    assert int(acknowledged) > 3
    assert session.damage == ()
