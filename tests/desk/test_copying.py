"""A session that lies where nothing can be written is copied to where something can."""

import shutil
from pathlib import Path

import pytest

from benchapp.desk.copying import copy_session
from benchapp.desk.loading import load
from benchapp.desk.noting import note_bench
from benchapp.desk.trash import discard, discarded_sessions, take_back
from benchapp.records.errors import DiskTrouble, SessionBusy, WrongInput
from benchapp.sessions.lock import take_lock
from benchapp.sessions.opening import open_session, verify
from tests.desk.stopped_session import stopped_early
from tests.desk.test_trash import NOW
from tests.sessions.session_builder import fill, new_writer


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


def test_a_copy_of_one_whose_second_file_is_cut_off_is_not_closed_as_if_it_were_whole(tmp_path):
    writer = new_writer(tmp_path / "dying.t2h")
    fill(writer, seconds=4)
    for ending in ("", "-wal", ".lock"):
        data = (tmp_path / f"dying.t2h{ending}").read_bytes()
        (tmp_path / f"a.t2h{ending}").write_bytes(data[: len(data) // 2] if ending == "-wal" else data)
    writer.abandon()
    (tmp_path / "copies").mkdir()
    copy = copy_session(tmp_path / "a.t2h", tmp_path / "copies")
    for path in (tmp_path / "a.t2h", copy):
        assert not open_session(path).closed
        assert "is missing" in open_session(path).kept
    discarded = discard(tmp_path / "a.t2h", tmp_path / "trash", now=NOW)
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith("a.t2h")] == []
    assert len(discarded_sessions(tmp_path / "trash", home=tmp_path)) == 1
    assert "is missing" in open_session(take_back(discarded)).kept


def test_a_copy_that_a_kill_cut_short_has_no_session_s_name(tmp_path, session, monkeypatch):
    class Killed(BaseException):
        pass

    def killed(source, target):
        Path(target).write_bytes(Path(source).read_bytes()[:3000])
        raise Killed

    monkeypatch.setattr(shutil, "copyfile", killed)
    with pytest.raises(Killed):
        copy_session(session, tmp_path)
    assert not list(tmp_path.glob("*.t2h"))
