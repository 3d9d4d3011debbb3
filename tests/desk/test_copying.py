"""A session that lies where nothing can be written is copied to where something can."""

import shutil

import pytest

from benchapp.desk.copying import copy_session
from benchapp.desk.loading import load
from benchapp.desk.noting import note_bench
from benchapp.records.errors import DiskTrouble, SessionBusy, WrongInput
from benchapp.sessions.lock import take_lock
from benchapp.sessions.opening import open_session, verify
from tests.desk.stopped_session import stopped_early


@pytest.fixture
def folder(tmp_path):
    path = tmp_path / "copies"
    path.mkdir()
    return path


def test_a_copy_is_the_session_to_the_byte_under_a_free_name_and_can_be_added_to(session, folder):
    session.chmod(0o444)
    before = session.read_bytes()
    copy = copy_session(session, folder)
    assert (copy.name, copy.read_bytes()) == (session.name, before)
    assert copy_session(session, folder).name == f"{session.stem} 2.t2h"
    note_bench(copy, {"servo": "standard"})
    assert load(copy).facts.bench["servo"] == "standard"
    assert open_session(copy).evidence_hash == open_session(session).evidence_hash
    assert verify(copy).ok
    assert session.read_bytes() == before
    session.chmod(0o644)


def test_a_copy_of_one_that_was_stopped_early_is_closed_and_the_first_stays_open(tmp_path, folder):
    stopped = stopped_early(tmp_path / "stopped.t2h")
    copy = copy_session(stopped, folder)
    assert open_session(copy).closed
    assert not open_session(stopped).closed
    assert [path.name for path in folder.iterdir()] == ["stopped.t2h"]


def test_one_that_is_being_recorded_or_gone_is_not_copied(session, folder, tmp_path):
    mine = tmp_path / "mine.t2h"
    shutil.copy(session, mine)
    lock = take_lock(mine)
    try:
        with pytest.raises(SessionBusy, match="being recorded"):
            copy_session(mine, folder)
    finally:
        lock.release()
    with pytest.raises(WrongInput, match="no file"):
        copy_session(tmp_path / "gone.t2h", folder)
    assert list(folder.iterdir()) == []


def test_where_no_copy_can_be_written_nothing_of_it_is_left(session, tmp_path):
    with pytest.raises(DiskTrouble, match="No copy could be written") as caught:
        copy_session(session, tmp_path / "no such folder")
    assert caught.value.kept == "Nothing changed."
