"""Sessions that a crash left behind are found, and closed when asked."""

import os
import shutil

import pytest

from benchapp.desk.noting import note_bench
from benchapp.desk.recovering import recover_session
from benchapp.desk.trash import discard, take_back
from benchapp.desk.unfinished import unfinished_sessions
from benchapp.records.errors import DamagedEvidence
from benchapp.sessions.lock import take_lock
from benchapp.sessions.opening import open_session
from tests.desk.stopped_session import stopped_early
from tests.desk.test_trash import NOW


def test_sessions_that_were_stopped_early_are_found_newest_first_with_what_was_kept(tmp_path, session):
    shutil.copy(session, tmp_path / "closed.t2h")
    for age_s, name in ((200, "older.t2h"), (100, "newer.t2h")):
        path = stopped_early(tmp_path / name)
        os.utime(path, (1_700_000_000 - age_s, 1_700_000_000 - age_s))
    found = unfinished_sessions(tmp_path)
    assert [unfinished.path.name for unfinished in found] == ["newer.t2h", "older.t2h"]
    assert {unfinished.kept for unfinished in found} == {"was stopped early; 2 of 2 blocks good"}


def test_one_that_is_still_being_recorded_is_not_among_them(tmp_path):
    path = stopped_early(tmp_path / "running.t2h")
    lock = take_lock(path)
    try:
        assert unfinished_sessions(tmp_path) == ()
    finally:
        lock.release()


def test_finishing_one_closes_it_and_it_is_found_no_more(tmp_path):
    path = stopped_early(tmp_path / "a.t2h")
    assert recover_session(path) == "was stopped early; 2 of 2 blocks good"
    assert open_session(path).closed
    assert unfinished_sessions(tmp_path) == ()


def test_a_folder_that_is_not_there_and_files_that_are_no_sessions_are_nothing(tmp_path):
    assert unfinished_sessions(tmp_path / "nowhere") == ()
    (tmp_path / "bad.t2h").write_text("no session")
    (tmp_path / "bad.t2h-wal").write_text("left")
    assert unfinished_sessions(tmp_path) == ()


def test_one_that_is_deleted_and_taken_back_has_lost_nothing(tmp_path):
    path = stopped_early(tmp_path / "sessions" / "a.t2h")
    before = open_session(path)
    take_back(discard(path, tmp_path / "trash", now=NOW))
    after = open_session(path)
    assert after.evidence_hash == before.evidence_hash
    assert (after.good_blocks, after.closed) == (2, True)


def test_fields_noted_later_are_read_back_and_leave_the_evidence_code_alone(tmp_path, session):
    path = tmp_path / "a.t2h"
    shutil.copy(session, path)
    code = open_session(path).evidence_hash
    note_bench(path, {"transmitter": "Alder, loan set 3", "volts": "6.0"})
    note_bench(path, {"volts": ""})
    facts = open_session(path).facts
    assert facts.bench["transmitter"] == "Alder, loan set 3"
    assert facts.bench["volts"] == ""
    assert (facts.evidence_hash, facts.damage) == (code, ())


def test_one_whose_second_file_is_gone_is_found_with_what_is_missing_and_stays_open(tmp_path):
    path = stopped_early(tmp_path / "a.t2h")
    path.with_name("a.t2h-wal").unlink()
    (found,) = unfinished_sessions(tmp_path)
    assert found.damaged
    assert "what was saved from 0.000 s to 39.000 s is missing" in found.kept
    with pytest.raises(DamagedEvidence):
        recover_session(path)
    assert unfinished_sessions(tmp_path) == (found,)
