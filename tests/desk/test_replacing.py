"""An output that takes the place of an old one: the old or the new, and never anything of others."""

import json
import os
import shutil
from pathlib import Path

import pytest

from benchapp.desk.exporting import export
from benchapp.desk.folders import write_folder
from benchapp.desk.importing import ImportOrder, import_capture
from benchapp.desk.recording import RecordOrder, check_order
from benchapp.desk.reporting import report_files, write_report
from benchapp.records.errors import BenchError, OutputExists, WrongCall
from benchapp.records.run import RunSettings
from benchapp.sessions.copying import save_copy
from benchapp.sessions.drafts import OLD_S, draft_beside, remove_left_drafts
from benchapp.sessions.lock import take_lock
from benchapp.sessions.opening import open_session, verify
from benchapp.sessions.replacing import put_in_place
from tests.campaigns.kills import forked
from tests.desk.stopped_session import stopped_early
from tests.sessions.session_builder import SWITCH, new_writer, small_session

OLD_FILES = ("findings.json", "report.html", "trials.csv", "sweeps.csv")


def texts(folder: Path) -> dict[str, str]:
    return {file.name: file.read_text() for file in sorted(folder.iterdir()) if file.is_file()}


def writing(text):
    return lambda path: path.write_text(text)


@pytest.fixture
def old_report(tmp_path):
    folder = tmp_path / "report"
    folder.mkdir()
    for name in OLD_FILES:
        (folder / name).write_text("old")
    (folder / "findings.json").write_text(json.dumps({"format": "benchapp findings 1"}))
    return folder


# Folders -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("beside", ["nothing", "file", "folder"])
def test_a_report_takes_the_place_of_an_old_one_and_leaves_nothing_of_it(old_report, session, beside):
    if beside == "file":
        (old_report / "mine.txt").write_text("mine")
    if beside == "folder":
        (old_report / "photos").mkdir()
        (old_report / "photos" / "mine.txt").write_text("mine")
    write_report(session, old_report, pdf=False, force=True)
    there = {path.name for path in old_report.iterdir()}
    extra = {"nothing": set(), "file": {"mine.txt"}, "folder": {"photos"}}[beside]
    assert there == {"findings.json", "report.html", "trials.csv"} | extra
    assert "old" not in texts(old_report).values()
    mine = old_report / ("photos/mine.txt" if beside == "folder" else "mine.txt")
    assert beside == "nothing" or mine.read_text() == "mine"
    assert [path.name for path in old_report.parent.iterdir()] == ["report"]


def test_files_of_a_report_s_names_where_no_report_is_are_not_taken_for_one(tmp_path, session):
    folder = tmp_path / "notes"
    folder.mkdir()
    (folder / "holds.csv").write_text("of a boat")
    write_report(session, folder, pdf=False, force=True)
    assert (folder / "holds.csv").read_text() == "of a boat"


class Killed(BaseException):
    """What a kill is to a test in the same process."""


@pytest.mark.parametrize("how", ["swapped", "inside"])
def test_killed_at_any_step_the_folder_never_holds_files_of_two_sessions(old_report, monkeypatch, how):
    if how == "inside":
        (old_report / "photos").mkdir()
    monkeypatch.setattr(shutil, "rmtree", lambda *_, **__: None)  # the killed clean up nothing
    steps, most = 0, 1_000

    def step(real):
        def stepping(*args, **kwargs):
            nonlocal steps
            steps += 1
            if steps > most:
                raise Killed
            return real(*args, **kwargs)

        return stepping

    for name in ("mkdir", "unlink", "replace", "rename"):
        monkeypatch.setattr(Path, name, step(getattr(Path, name)))
    monkeypatch.setattr(
        "benchapp.desk.folders._exchange", step(__import__("benchapp.desk.folders").desk.folders._exchange)
    )
    writers = [
        ("findings.json", writing('{"format": "benchapp findings 1", "new": 1}')),
        ("report.html", writing("new")),
    ]
    ends = []
    for most in range(1, 20):
        copy = old_report.with_name(f"copy{most}")
        shutil.copytree(old_report, copy)
        steps = 0
        try:
            write_folder(copy, writers, force=True, stale=report_files)
        except Killed:
            pass
        else:
            ends.append(most)
        there = texts(copy)
        old = {name for name, text in there.items() if "new" not in text}
        assert old == set() or not any("new" in text for text in there.values()), (most, there)
        if how == "swapped":
            assert set(there) in ({*OLD_FILES}, {"findings.json", "report.html"})
    assert ends


# Sessions ------------------------------------------------------------------------------------------------------------


def all_ways(path, session):
    """Every call that puts a session at a path."""
    capture = path.parent / "capture.vcd"
    export(session, capture, to="vcd", force=True)
    yield (
        "import",
        lambda force: import_capture(ImportOrder(capture=capture, test="switch-flip", out=path, force=force)),
    )
    yield "copy", lambda force: save_copy(session, path, force=force)
    yield "record", lambda force: new_writer(path, force=force).close()


@pytest.mark.parametrize("way", ["import", "copy", "record"])
def test_a_session_takes_the_place_of_one_left_by_a_crash_and_nothing_is_played_into_it(tmp_path, session, way):
    path = stopped_early(tmp_path / "a.t2h")
    put = dict(all_ways(path, session))[way]
    with pytest.raises(OutputExists):
        put(False)
    assert open_session(path).edges(1, SWITCH).count == 39
    put(True)
    assert verify(path).ok
    assert open_session(path).facts.name != "bench one" or way == "record"
    assert {file.name for file in tmp_path.iterdir()} - {"capture.vcd"} == {"a.t2h"}


@pytest.mark.parametrize("way", ["import", "copy", "record"])
@pytest.mark.parametrize("ending", ["-journal", "-wal", "-shm"])
def test_a_file_of_others_that_would_be_taken_for_a_part_stops_the_call(tmp_path, session, way, ending):
    path = tmp_path / "lab"
    (tmp_path / f"lab{ending}").write_text("what we did on Monday")
    put = dict(all_ways(path, session))[way]
    for force in (False, True):
        with pytest.raises(WrongCall, match=f"lab{ending} in .* would be taken for a part of the session"):
            put(force)
    assert (tmp_path / f"lab{ending}").read_text() == "what we did on Monday"
    assert not path.exists()


def test_the_second_file_of_another_program_s_database_is_not_taken_along(tmp_path, session):
    stopped_early(tmp_path / "source.t2h")
    path = tmp_path / "ledger"
    data = bytearray((tmp_path / "source.t2h").read_bytes())
    data[68:72] = bytes(4)
    path.write_bytes(bytes(data))
    shutil.copy(tmp_path / "source.t2h-wal", tmp_path / "ledger-wal")
    before = (tmp_path / "ledger-wal").read_bytes()
    with pytest.raises(WrongCall, match="ledger-wal"):
        save_copy(session, path, force=True)
    assert (tmp_path / "ledger-wal").read_bytes() == before
    assert path.read_bytes() == bytes(data)


def test_what_is_left_of_a_session_that_is_gone_needs_force(tmp_path, session):
    path = stopped_early(tmp_path / "a.t2h")
    path.unlink()
    with pytest.raises(OutputExists, match=r"a part of a session that was called a\.t2h"):
        save_copy(session, path)
    save_copy(session, path, force=True)
    assert verify(path).ok


@pytest.mark.parametrize("spoilt", [False, True])
def test_until_the_new_session_is_there_the_old_one_keeps_all_it_had(tmp_path, monkeypatch, spoilt):
    path = stopped_early(tmp_path / "a.t2h")
    if spoilt:
        wal = path.with_name("a.t2h-wal")
        data = bytearray(wal.read_bytes())
        data[len(data) // 2] ^= 1
        wal.write_bytes(bytes(data))
    small_session(tmp_path / "new.t2h", seconds=1)

    def refuse(*_: object) -> None:
        raise OSError(5, "Input/output error")

    real = Path.replace
    monkeypatch.setattr(Path, "replace", lambda one, other: refuse() if one.name == "new.t2h" else real(one, other))
    with pytest.raises(OSError, match="Input/output"):
        put_in_place(tmp_path / "new.t2h", path)
    assert open_session(path).edges(1, SWITCH).count == 39
    assert bool(open_session(path).damage) == spoilt


def test_killed_just_before_the_new_session_has_its_name_the_old_one_is_whole(tmp_path, monkeypatch):
    path = stopped_early(tmp_path / "a.t2h")
    small_session(tmp_path / "new.t2h", seconds=1)
    real = Path.replace

    def dying(one, other):
        if one.name == "new.t2h":
            os._exit(9)
        return real(one, other)

    def put() -> None:
        monkeypatch.setattr(Path, "replace", dying)
        put_in_place(tmp_path / "new.t2h", path)

    _, ended = os.waitpid(forked(put), 0)
    assert os.waitstatus_to_exitcode(ended) == 9
    session = open_session(path)
    assert (session.damage, session.edges(1, SWITCH).count) == ((), 39)


def test_a_session_being_recorded_is_never_replaced(tmp_path, session):
    path = tmp_path / "a.t2h"
    writer = new_writer(path)
    for _, put in all_ways(path, session):
        with pytest.raises(BenchError, match=r"being written|already there"):
            put(True)
    writer.close()


# The truth -----------------------------------------------------------------------------------------------------------


def truth_spellings(folder: Path) -> list[Path]:
    (folder / "deep").mkdir()
    (folder / "alias").symlink_to(folder)
    return [
        folder / "a.t2h",
        folder / "deep" / ".." / "a.t2h",
        folder / "alias" / "a.t2h",
        folder / "A.T2H",
        Path(os.path.relpath(folder / "a.t2h")),
        folder / "a.t2h-wal",
        folder / "alias" / "a.t2h.lock",
    ]


def test_the_truth_never_goes_where_the_session_goes_however_it_is_spelt(tmp_path):
    for there in (False, True):
        if there:
            (tmp_path / "a.t2h").write_bytes(b"old")
            os.link(tmp_path / "a.t2h", tmp_path / "other name.json")
        spellings = truth_spellings(tmp_path) if not there else [tmp_path / "other name.json"]
        for truth in spellings:
            order = RecordOrder(
                probe="practice://alder",
                test="switch-flip",
                out=tmp_path / "a.t2h",
                settings=RunSettings(flips=3),
                confirmed=("practice",),
                truth=truth,
                force=True,
            )
            with pytest.raises(WrongCall, match="--truth"):
                check_order(order)


# What kills left -----------------------------------------------------------------------------------------------------


def aged(path: Path, now_s: float) -> None:
    for part in (*(path.iterdir() if path.is_dir() else ()), path):
        os.utime(part, (now_s - OLD_S - 10, now_s - OLD_S - 10))


def test_drafts_that_kills_left_are_removed_after_a_day_and_nothing_else_is(tmp_path):
    now_s = (tmp_path.stat().st_mtime) + 5 * OLD_S
    left = [draft_beside(tmp_path / "a"), draft_beside(tmp_path / "a", ".t2h")]
    left += [left[1].with_name(left[1].name + ending) for ending in ("-wal", "-shm", "-journal", ".lock")]
    for path in left:
        path.write_bytes(b"half")
        aged(path, now_s)
    fresh = draft_beside(tmp_path / "a")
    fresh.write_bytes(b"growing")
    os.utime(fresh, (now_s - 3600, now_s - 3600))
    held = draft_beside(tmp_path / "a", ".t2h")
    held.write_bytes(b"growing")
    lock = take_lock(held)
    for part in (held, held.with_name(held.name + ".lock")):
        aged(part, now_s)
    others = [tmp_path / name for name in ("a.t2h", ".abcdef123456.part", ".benchapp-notes.part", "mine")]
    for path in others:
        path.write_bytes(b"mine")
        aged(path, now_s)
    try:
        assert remove_left_drafts(tmp_path, now_s=now_s) == len(left)
        assert remove_left_drafts(tmp_path, now_s=now_s) == 0
        assert {path.name for path in tmp_path.iterdir()} == {
            path.name for path in (*others, fresh, held, held.with_name(held.name + ".lock"))
        }
    finally:
        lock.release()
    assert remove_left_drafts(tmp_path / "nowhere", now_s=now_s) == 0


def test_a_clock_set_back_removes_no_draft(tmp_path):
    draft = draft_beside(tmp_path / "a")
    draft.write_bytes(b"growing")
    assert remove_left_drafts(tmp_path, now_s=draft.stat().st_mtime - 10 * OLD_S) == 0
    assert draft.exists()
