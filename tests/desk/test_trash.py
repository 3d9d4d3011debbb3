"""Deleted sessions lie in the program's own trash and can be taken back."""

import errno
import hashlib
import json
import shutil
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from benchapp.desk.trash import KEPT_DAYS, discard, discarded_sessions, empty_old, take_back
from benchapp.records.errors import DiskTrouble, OutputExists, SessionBusy, WrongInput
from benchapp.sessions.lock import take_lock
from benchapp.sessions.opening import open_session
from tests.desk.stopped_session import stopped_early

NOW = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)


def checksum(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


@pytest.fixture
def copy(session, tmp_path):
    path = tmp_path / "sessions" / "Birch 7.t2h"
    path.parent.mkdir()
    shutil.copy(session, path)
    return path


def test_a_deleted_session_comes_back_to_the_byte(copy, tmp_path):
    before = checksum(copy)
    gone = discard(copy, tmp_path / "trash", now=NOW)
    assert not copy.exists()
    assert take_back(gone) == copy
    assert checksum(copy) == before
    assert list((tmp_path / "trash").iterdir()) == []


def test_two_sessions_of_one_name_lie_in_the_trash_side_by_side(copy, session, tmp_path):
    first = discard(copy, tmp_path / "trash", now=NOW)
    shutil.copy(session, copy)
    second = discard(copy, tmp_path / "trash", now=NOW + timedelta(microseconds=1))
    assert first.folder != second.folder
    take_back(first)
    with pytest.raises(OutputExists, match="There is another"):
        take_back(second)
    assert (second.folder / copy.name).exists()


def test_a_session_that_is_being_recorded_is_not_deleted(copy, tmp_path):
    lock = take_lock(copy)
    try:
        with pytest.raises(SessionBusy, match="being recorded"):
            discard(copy, tmp_path / "trash", now=NOW)
    finally:
        lock.release()
    assert copy.exists()


def test_a_file_that_is_gone_is_said_to_be(tmp_path):
    with pytest.raises(WrongInput, match="no file"):
        discard(tmp_path / "gone.t2h", tmp_path / "trash", now=NOW)


def test_a_broken_file_is_deleted_and_taken_back_like_any_other(tmp_path):
    bad = tmp_path / "bad.t2h"
    bad.write_bytes(b"no session")
    (tmp_path / "bad.t2h-wal").write_bytes(b"left")
    take_back(discard(bad, tmp_path / "trash", now=NOW))
    assert bad.read_bytes() == b"no session"
    assert (tmp_path / "bad.t2h-wal").read_bytes() == b"left"


def opened_daily(trash, begin, days):
    """The program is started once a day, so many days."""
    for day in range(days + 1):
        empty_old(trash, now=begin + timedelta(days=day))


def test_the_trash_is_emptied_of_what_lay_there_for_thirty_days_and_of_nothing_else(copy, session, tmp_path):
    trash = tmp_path / "trash"
    old = discard(copy, trash, now=NOW)
    (trash / "somebody else's").mkdir()
    opened_daily(trash, NOW, 10)
    shutil.copy(session, copy)
    young = discard(copy, trash, now=NOW + timedelta(days=10))
    opened_daily(trash, NOW + timedelta(days=10), KEPT_DAYS - 10)
    assert old.folder.exists()  # on the thirtieth day
    empty_old(trash, now=NOW + timedelta(days=KEPT_DAYS, hours=1))
    assert not old.folder.exists()
    assert young.folder.exists()
    assert (trash / "somebody else's").exists()
    empty_old(tmp_path / "no trash yet", now=NOW)
    assert not (tmp_path / "no trash yet").exists()


@pytest.mark.parametrize("years", [-50, 1, 50])
def test_a_wrong_clock_deletes_nothing_at_once_and_the_days_go_on_after_it(copy, tmp_path, years):
    trash = tmp_path / "trash"
    gone = discard(copy, trash, now=NOW)
    opened_daily(trash, NOW, 5)
    wrong = NOW + timedelta(days=365 * years)
    for at in (wrong, wrong + timedelta(minutes=1), NOW + timedelta(days=5, minutes=1)):  # put right in the end
        empty_old(trash, now=at)
    assert gone.folder.exists()
    opened_daily(trash, NOW + timedelta(days=6), KEPT_DAYS - 8)
    assert gone.folder.exists()
    opened_daily(trash, NOW + timedelta(days=KEPT_DAYS - 1), 4)
    assert not gone.folder.exists()


@pytest.mark.parametrize("age_days", [-400, 0, 400])
def test_one_deleted_under_a_wrong_clock_is_kept_for_thirty_days_too(copy, tmp_path, age_days):
    trash = tmp_path / "trash"
    gone = discard(copy, trash, now=NOW - timedelta(days=age_days))
    opened_daily(trash, NOW, KEPT_DAYS)
    assert gone.folder.exists()
    opened_daily(trash, NOW + timedelta(days=KEPT_DAYS), 1)
    assert not gone.folder.exists()


@pytest.mark.parametrize("text", ["", "[]", '{"format": "benchapp trash days 1", "days": 3, "counted": "once"}'])
def test_a_spoilt_count_of_the_days_begins_anew(copy, tmp_path, text):
    trash = tmp_path / "trash"
    gone = discard(copy, trash, now=NOW)
    opened_daily(trash, NOW, 29)
    (trash / "days.json").write_text(text)
    opened_daily(trash, NOW + timedelta(days=29), 20)
    assert gone.folder.exists()
    assert len(discarded_sessions(trash, home=tmp_path)) == 1


# Two disks -----------------------------------------------------------------------------------------------------------


@pytest.fixture
def other_disk():
    """A folder on another disk than the temporary one."""
    shared = Path("/dev/shm")
    if not shared.is_dir() or shared.stat().st_dev == Path(tempfile.gettempdir()).stat().st_dev:
        pytest.skip("needs a second file system at /dev/shm")
    with tempfile.TemporaryDirectory(dir=shared) as folder:
        yield Path(folder)


def test_a_trash_on_another_disk_gives_a_session_back_to_the_byte(copy, other_disk):
    before = checksum(copy)
    gone = discard(copy, other_disk / "trash", now=NOW)
    assert not copy.exists()
    assert take_back(gone) == copy
    assert checksum(copy) == before
    assert list((other_disk / "trash").iterdir()) == []


def full_after(count):
    """A copy that finds the disk full after so many bytes, as a real one does: what was written stays there."""

    def copy(source, target):
        Path(target).write_bytes(Path(source).read_bytes()[:count])
        raise OSError(errno.ENOSPC, "No space left on device", str(target))

    return copy


def test_an_undo_onto_a_full_disk_leaves_nothing_under_the_name_and_can_be_tried_again(copy, other_disk, monkeypatch):
    before = checksum(copy)
    gone = discard(copy, other_disk / "trash", now=NOW)
    with monkeypatch.context() as patch:
        patch.setattr(shutil, "copy2", full_after(5000))
        with pytest.raises(DiskTrouble, match="No space left") as caught:
            take_back(gone)
    assert caught.value.kept == "It is where it was."
    assert list(copy.parent.iterdir()) == []
    assert checksum(gone.folder / copy.name) == before
    assert take_back(gone) == copy
    assert checksum(copy) == before


def test_a_delete_onto_a_full_disk_leaves_the_session_where_it_is(copy, other_disk, monkeypatch):
    before = checksum(copy)
    monkeypatch.setattr(shutil, "copy2", full_after(5000))
    with pytest.raises(DiskTrouble):
        discard(copy, other_disk / "trash", now=NOW)
    assert checksum(copy) == before
    assert not list((other_disk / "trash").rglob("*.t2h"))


def test_one_with_a_second_file_comes_back_with_it_or_stays_with_it(tmp_path, other_disk, monkeypatch):
    path = stopped_early(tmp_path / "sessions" / "a.t2h")
    wal = path.with_name("a.t2h-wal")
    spoilt = bytearray(wal.read_bytes())
    spoilt[len(spoilt) // 2] ^= 1
    wal.write_bytes(bytes(spoilt))  # so that it is not closed on the way
    before = {part.name: checksum(part) for part in (path, wal)}
    gone = discard(path, other_disk / "trash", now=NOW)
    calls = []
    real = shutil.copy2

    def second_fails(source, target):
        calls.append(source)
        if len(calls) == 2:
            full_after(100)(source, target)
        return real(source, target)

    monkeypatch.setattr(shutil, "copy2", second_fails)
    with pytest.raises(DiskTrouble):
        take_back(gone)
    assert not path.exists()
    assert not wal.exists()
    take_back(gone)
    assert {part.name: checksum(part) for part in (path, wal)} == before


def test_a_session_that_cannot_be_moved_stays_where_it_is(copy, tmp_path):
    (tmp_path / "trash").write_text("a file where the folder should be")
    before = checksum(copy)
    with pytest.raises(Exception, match="could not be moved") as caught:
        discard(copy, tmp_path / "trash", now=NOW)
    assert caught.value.kept == "It is where it was."
    assert checksum(copy) == before


def test_what_lies_in_the_trash_is_listed_the_last_first_and_each_can_be_taken_back(copy, session, tmp_path):
    trash, home = tmp_path / "trash", tmp_path / "home"
    assert discarded_sessions(trash, home=home) == ()
    before = checksum(copy)
    first = discard(copy, trash, now=NOW)
    other = copy.with_name("Cedar 2.t2h")
    shutil.copy(session, other)
    second = discard(other, trash, now=NOW + timedelta(hours=1))
    (trash / "somebody else's").mkdir()
    listed = discarded_sessions(trash, home=home)
    assert listed == (second, first)
    assert [found.since for found in listed] == [NOW + timedelta(hours=1), NOW]
    for found in listed:
        take_back(found)
    assert checksum(copy) == before
    assert discarded_sessions(trash, home=home) == ()
    assert [folder.name for folder in trash.iterdir()] == ["somebody else's"]


def test_a_deleted_session_is_known_by_its_name_and_one_that_cannot_be_read_by_its_file(copy, tmp_path):
    trash = tmp_path / "trash"
    called = open_session(copy).facts.name
    assert called not in {"", copy.stem}
    broken = copy.with_name("broken.t2h")
    broken.write_text("no session")
    for number, path in enumerate((copy, broken)):
        discard(path, trash, now=NOW + timedelta(hours=number))
    assert [found.name for found in discarded_sessions(trash, home=tmp_path)] == ["broken", called]


def test_a_note_of_before_that_holds_only_the_place_is_still_read(copy, tmp_path):
    trash = tmp_path / "trash"
    gone = discard(copy, trash, now=NOW)
    (gone.folder / "whence.json").write_text(json.dumps(str(copy)))
    (found,) = discarded_sessions(trash, home=tmp_path / "home")
    assert (found.path, found.name) == (copy, copy.stem)


@pytest.mark.parametrize(
    "note",
    [
        None,
        "[",
        "3",
        '{"path": 3}',
        '{"path": "relative.t2h", "name": []}',
        '"not/absolute.t2h"',
        '"/elsewhere/another name.t2h"',
        r'{"path": "/else\u0000where/Birch 7.t2h"}',
        r'{"path": "/else\ud800where/Birch 7.t2h"}',
    ],
)
def test_one_nobody_knows_the_place_of_comes_back_into_the_folder_of_sessions(copy, tmp_path, note):
    trash, home = tmp_path / "trash", tmp_path / "home"
    gone = discard(copy, trash, now=NOW)
    whence = gone.folder / "whence.json"
    if note is None:
        whence.unlink()
    else:
        whence.write_text(note)
    (found,) = discarded_sessions(trash, home=home)
    assert take_back(found) == home / copy.name
    assert (home / copy.name).is_file()


def test_a_folder_of_the_trash_that_holds_no_session_or_several_files_is_not_offered(copy, tmp_path):
    trash = tmp_path / "trash"
    gone = discard(copy, trash, now=NOW)
    (gone.folder / "another.t2h").write_bytes(b"x")
    (trash / (NOW + timedelta(days=1)).strftime("%Y%m%dT%H%M%S%f")).mkdir()
    assert discarded_sessions(trash, home=tmp_path) == ()
