"""A recording whose file is taken away: said at once, and carried on where that is possible."""

import os
import shutil

import pytest

from benchapp.acquisition.conductor import COMMIT_EVERY_NS
from benchapp.acquisition.recording import Recording
from benchapp.records.errors import SessionTakenAway
from benchapp.sessions.opening import open_session, verify
from tests.acquisition.fakes import TestClocks, ask_for_run, finish, opener, practice, wait_until
from tests.sessions.session_builder import small_session

ALDER = "practice://alder?seed=3&flips=golden"
READS_BEFORE, READS_AFTER = 100, 50


class Away:
    """Takes a session's file away once something of it is on the disk, and notes what was said from then on."""

    def __init__(self, path, how, answered=lambda: False) -> None:
        self.path, self._how, self._answered = path, how, answered
        self.taken_at_read: int | None = None
        self.said: list[str] = []
        self.recording = None
        self._clocks = TestClocks()

    def record(self) -> Recording:
        self.recording = practice(opener(ALDER, self), clocks=self._clocks)
        return self.recording

    def __call__(self, reads: int) -> None:
        self._clocks.now_ns += COMMIT_EVERY_NS  # a commit is asked for at every read
        if reads == READS_BEFORE:
            wait_until(lambda: self.recording.status().saved_records > 100)
            self._how(self.path)
            self.taken_at_read = reads
        if reads == READS_BEFORE + READS_AFTER:
            wait_until(lambda: self.recording.moved_to or self._answered())
        message = self.recording.status().message
        if reads > READS_BEFORE and message not in self.said:
            self.said.append(message)


def replaced(path) -> None:
    os.replace(path.with_name("other.t2h"), path)


def folder_deleted(path) -> None:
    """Delete a folder as a file manager does, file after file, while the recording may already go on beside them."""
    shutil.rmtree(path.parent, ignore_errors=True)


@pytest.mark.parametrize("how", [os.unlink, replaced, folder_deleted])
def test_a_file_taken_away_in_a_run_is_said_and_the_whole_run_is_in_the_new_one(tmp_path, how):
    folder = tmp_path / "today"
    folder.mkdir()
    path = folder / "a.t2h"
    other = small_session(folder / "other.t2h", seconds=1)
    away = Away(path, how)
    recording = away.record()
    ask_for_run(recording, path, flips=20)
    finish(recording)
    assert recording.failure is None
    assert away.taken_at_read is not None
    assert any("was taken away or replaced while it was being recorded" in said for said in away.said)
    new = recording.moved_to
    assert new == (folder if folder.exists() else tmp_path) / "a 2.t2h"
    assert verify(new).ok
    (run,) = open_session(new).runs()
    assert open_session(new).evidence_hash == recording.evidence_hash
    assert recording.status().run.answered == 20
    assert run.outcome == "complete"
    if path.exists():
        assert open_session(path).evidence_hash == other


def test_where_nothing_can_be_kept_the_run_ends_and_nothing_is_called_kept(tmp_path, monkeypatch):
    refusals = []

    def refuse(*given: object) -> None:
        refusals.append(given)
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("benchapp.sessions.taken_away._copy_to", refuse)
    path = tmp_path / "a.t2h"
    away = Away(path, os.unlink, answered=lambda: refusals)
    recording = away.record()
    ask_for_run(recording, path, flips=2000)
    finish(recording)
    assert isinstance(recording.failure, SessionTakenAway)
    assert recording.failure.kept == "Nothing more is saved."
    assert "safe" not in recording.status().kept
    assert recording.status().run.stop_reason == "disk-trouble"
