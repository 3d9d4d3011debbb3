"""Files and folders that appear whole or not at all."""

import errno
from pathlib import Path

import pytest

from benchapp.desk.exporting import export
from benchapp.desk.folders import write_folder
from benchapp.desk.importing import ImportOrder, import_capture
from benchapp.desk.outputs import check_target, replacing, write_whole
from benchapp.records.errors import DiskTrouble, OutputExists, SessionBusy, WrongCall
from benchapp.sessions.lock import take_lock
from benchapp.sessions.naming import sidecars
from benchapp.sessions.store import SessionWriter

NOTHING_STALE = {"stale": lambda folder: ()}
LONG_NAME = "x" * 10_000


def no_space(*_) -> None:
    raise OSError(errno.ENOSPC, "No space left on device")


def chunks_then(error: Exception):
    yield b"half of it"
    raise error


def test_a_file_is_written_whole(tmp_path):
    write_whole(tmp_path / "a.csv", [b"one", b"two"], force=False)
    assert (tmp_path / "a.csv").read_bytes() == b"onetwo"
    assert list(tmp_path.iterdir()) == [tmp_path / "a.csv"]


def test_a_file_that_is_there_is_left_alone_without_force(tmp_path):
    (tmp_path / "a.csv").write_bytes(b"old")
    with pytest.raises(OutputExists, match="--force"):
        write_whole(tmp_path / "a.csv", [b"new"], force=False)
    assert (tmp_path / "a.csv").read_bytes() == b"old"
    write_whole(tmp_path / "a.csv", [b"new"], force=True)
    assert (tmp_path / "a.csv").read_bytes() == b"new"


@pytest.mark.parametrize("error", [RuntimeError("bug"), OSError(errno.ENOSPC, "No space left on device")])
@pytest.mark.parametrize("old", [None, b"old"])
def test_what_cannot_be_finished_leaves_no_half(tmp_path, error, old):
    path = tmp_path / "a.csv"
    if old is not None:
        path.write_bytes(old)
    with pytest.raises((RuntimeError, DiskTrouble)):
        write_whole(path, chunks_then(error), force=True)
    assert [(file.name, file.read_bytes()) for file in tmp_path.iterdir()] == ([] if old is None else [("a.csv", old)])


def test_a_full_disk_is_said_as_such(tmp_path):
    with pytest.raises(DiskTrouble, match="disk is full"):
        write_whole(tmp_path / "a.csv", chunks_then(OSError(errno.ENOSPC, "No space")), force=False)


def test_a_folder_that_may_not_be_written_is_said(tmp_path, monkeypatch):
    def refuse(*_, **__):
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(DiskTrouble, match=r"Permission denied.*another folder"):
        write_whole(tmp_path / "a.csv", [b"new"], force=False)


@pytest.mark.parametrize(
    ("name", "kind"),
    [("missing/a.csv", WrongCall), ("", WrongCall), (LONG_NAME, WrongCall), ("a\0b", WrongCall)],
)
def test_a_name_nothing_can_be_written_to_is_refused(tmp_path, name, kind):
    with pytest.raises(kind) as refusal:
        check_target(tmp_path / name, force=False)
    assert len(refusal.value.message) < 400
    assert "\n" not in refusal.value.message


def test_what_a_call_reads_is_never_written_over_whatever_its_name(tmp_path):
    read = tmp_path / "bench.vcd"
    read.write_bytes(b"evidence")
    (tmp_path / "alias.vcd").symlink_to(read)
    for name in ("bench.vcd", "alias.vcd"):
        with pytest.raises(WrongCall, match="read by this call"):
            write_whole(tmp_path / name, [b"new"], force=True, inputs=[read])
    assert read.read_bytes() == b"evidence"


def test_a_session_that_is_being_recorded_is_never_replaced(tmp_path):
    path = tmp_path / "a.t2h"
    path.write_bytes(b"growing")
    lock = take_lock(path)
    try:
        with pytest.raises(SessionBusy):
            write_whole(path, [b"new"], force=True)
        assert path.read_bytes() == b"growing"
    finally:
        lock.release()
    write_whole(path, [b"new"], force=True)
    assert path.read_bytes() == b"new"
    assert list(tmp_path.iterdir()) == [path]


def test_what_lies_beside_an_output_that_is_no_session_is_nobody_s_business(tmp_path):
    for left in sidecars(tmp_path / "lab"):
        left.write_bytes(b"of others")
    before = sorted(tmp_path.iterdir())
    write_whole(tmp_path / "lab", [b"new"], force=False)
    write_whole(tmp_path / "lab", [b"newer"], force=True)
    assert sorted(tmp_path.iterdir()) == [tmp_path / "lab", *before]
    assert {left.read_bytes() for left in before} == {b"of others"}


def test_no_output_takes_the_place_of_a_part_of_a_session(tmp_path):
    (tmp_path / "a.t2h").write_bytes(b"session")
    for ending in ("-wal", "-shm", "-journal", ".lock", "-WAL"):
        with pytest.raises(WrongCall, match="part of a session"):
            write_whole(tmp_path / f"a.t2h{ending}", [b"new"], force=True)
    write_whole(tmp_path / "b.t2h-wal", [b"new"], force=False)  # no such session


def test_a_folder_appears_with_every_file_or_not_at_all(tmp_path):
    folder = tmp_path / "report"
    writers = [("a", lambda path: path.write_text("a")), ("b", no_space)]
    with pytest.raises(DiskTrouble):
        write_folder(folder, writers, force=False, **NOTHING_STALE)
    assert list(tmp_path.iterdir()) == []
    write_folder(folder, writers[:1], force=False, **NOTHING_STALE)
    assert [file.name for file in folder.iterdir()] == ["a"]


def test_a_folder_that_is_not_empty_needs_force_and_keeps_what_is_not_ours(tmp_path):
    (tmp_path / "mine.txt").write_text("mine")
    (tmp_path / "a").write_text("old")
    writers = [("a", lambda path: path.write_text("new"))]
    with pytest.raises(OutputExists, match="not empty"):
        write_folder(tmp_path, writers, force=False, **NOTHING_STALE)
    assert (tmp_path / "a").read_text() == "old"
    write_folder(tmp_path, writers, force=True, **NOTHING_STALE)
    assert sorted((file.name, file.read_text()) for file in tmp_path.iterdir()) == [("a", "new"), ("mine.txt", "mine")]


def test_a_failure_with_force_leaves_the_old_files_as_they_were(tmp_path):
    (tmp_path / "a").write_text("old")
    with pytest.raises(DiskTrouble):
        write_folder(
            tmp_path, [("a", lambda path: path.write_text("new")), ("b", no_space)], force=True, **NOTHING_STALE
        )
    assert [(file.name, file.read_text()) for file in tmp_path.iterdir()] == [("a", "old")]


def test_an_empty_folder_is_filled(tmp_path):
    write_folder(tmp_path, [("a", lambda path: path.write_text("new"))], force=False, **NOTHING_STALE)
    assert [file.name for file in tmp_path.iterdir()] == ["a"]


def test_a_file_where_a_folder_was_expected_is_left_alone(tmp_path):
    (tmp_path / "report").write_text("old")
    with pytest.raises(OutputExists, match="is a file"):
        write_folder(tmp_path / "report", [], force=True, **NOTHING_STALE)


def test_a_draft_is_gone_after_any_error(tmp_path):
    def interrupted() -> None:
        with replacing(tmp_path / "a", force=False) as draft:
            draft.write_text("half")
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        interrupted()
    assert list(tmp_path.iterdir()) == []


def test_an_import_onto_a_full_disk_says_once_what_was_kept_and_leaves_nothing_behind(session, tmp_path, monkeypatch):
    capture, folder = tmp_path / "bench.vcd", tmp_path / "out"
    export(session, capture, to="vcd")
    folder.mkdir()

    def full(writer):
        raise DiskTrouble(
            "The disk is full: no room. What was recorded before is kept: 5 records.",
            kept="What was recorded before is kept: 5 records.",
        )

    monkeypatch.setattr(SessionWriter, "close", full)
    with pytest.raises(DiskTrouble) as refused:
        import_capture(ImportOrder(capture=capture, test="switch-flip", out=folder / "b.t2h"))
    assert refused.value.message == "The disk is full: no room."
    assert refused.value.kept == "Nothing was written."
    assert list(folder.iterdir()) == []
