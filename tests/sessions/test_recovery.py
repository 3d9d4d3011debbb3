import os
import sqlite3
import stat
from pathlib import Path

import pytest

from benchapp.records.errors import DamagedEvidence, OutputExists, SessionBusy, WrongCall, WrongInput
from benchapp.records.events import Event, EventKind
from benchapp.records.run import Outcome
from benchapp.sessions.amending import append_events
from benchapp.sessions.copying import save_copy
from benchapp.sessions.lock import is_held, lock_path, take_lock
from benchapp.sessions.opening import open_session, verify
from benchapp.sessions.recovery import recover
from tests.sessions.session_builder import SWITCH, edges, new_writer, pulses, samples, small_session, start, stretch

S = 1_000_000_000


def stopped_early(path: Path) -> None:
    """A session whose writer died after a commit, its write-ahead file beside it."""
    writer = new_writer(path.with_name("dying.t2h"))
    writer.add_stretch(stretch())
    writer.add_event(start(at_ns=0))
    for second in range(1, 40):
        writer.add_record(1, edges(SWITCH, [second * S]))
        writer.commit()
    for ending in ("", "-wal"):
        path.with_name(path.name + ending).write_bytes(path.with_name("dying.t2h" + ending).read_bytes())
    writer.abandon()
    path.with_name("dying.t2h").unlink()


def files_in(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_opening_a_session_that_was_stopped_early_says_what_was_kept_and_changes_nothing(tmp_path):
    path = tmp_path / "a.t2h"
    stopped_early(path)
    before = {name: (tmp_path / name).read_bytes() for name in ("a.t2h", "a.t2h-wal")}
    session = open_session(path)
    assert session.kept == "was stopped early; 2 of 2 blocks good"
    assert session.edges(1, SWITCH).count == 39
    assert {name: (tmp_path / name).read_bytes() for name in before} == before


def test_recovering_closes_it_with_the_run_cut_short_and_the_same_code(tmp_path):
    path = tmp_path / "a.t2h"
    stopped_early(path)
    code = open_session(path).evidence_hash
    assert recover(path) == "was stopped early; 2 of 2 blocks good"
    assert files_in(tmp_path) == ["a.t2h"]
    session = open_session(path)
    assert (session.kept, session.evidence_hash, session.damage) == ("", code, ())
    (run,) = session.runs()
    assert (run.outcome, run.stop_ns) == (Outcome.CUT_SHORT, 39 * S)
    assert recover(path) == ""


def test_a_session_that_is_still_recorded_is_not_recovered(tmp_path):
    writer = new_writer(tmp_path / "a.t2h")
    with pytest.raises(SessionBusy):
        recover(tmp_path / "a.t2h")
    writer.close()


def test_a_damaged_session_is_not_closed(tmp_path):
    path = tmp_path / "a.t2h"
    stopped_early(path)
    connection = sqlite3.connect(path)
    connection.execute("UPDATE block SET data = x'00' WHERE id = 1")
    connection.commit()
    connection.close()  # this took the -wal away, too
    with pytest.raises(DamagedEvidence, match="1 of 2 blocks damaged"):
        recover(path)
    assert open_session(path).kept.startswith(
        "was stopped early; 1 of 2 blocks good, and what was saved after 39.000 s"
    )


def test_a_copy_closes_what_was_stopped_early_and_leaves_the_original(tmp_path):
    stopped_early(tmp_path / "a.t2h")
    code = save_copy(tmp_path / "a.t2h", tmp_path / "b.t2h")
    assert verify(tmp_path / "b.t2h").ok
    assert verify(tmp_path / "b.t2h").evidence_hash == code
    assert open_session(tmp_path / "a.t2h").kept.startswith("was stopped early")
    with pytest.raises(OutputExists):
        save_copy(tmp_path / "a.t2h", tmp_path / "b.t2h")
    assert save_copy(tmp_path / "b.t2h", tmp_path / "b2.t2h", force=True) == code


def test_a_copy_of_a_damaged_session_still_says_what_is_lost(tmp_path):
    path = tmp_path / "a.t2h"
    small_session(path)
    connection = sqlite3.connect(path)
    connection.execute("UPDATE block SET data = x'00' WHERE kind = 'levels' AND number = 1")
    connection.commit()
    connection.close()
    save_copy(path, tmp_path / "b.t2h")
    assert "blocks damaged" in verify(tmp_path / "b.t2h").damaged[0]


def note(text="later") -> Event:
    return Event(kind=EventKind.NOTE, at_ns=0, detail={"text": text})


def test_notes_are_added_to_a_closed_session_and_its_code_stays(tmp_path):
    path = tmp_path / "a.t2h"
    code = small_session(path)
    put_back = Event(kind=EventKind.PUT_BACK, at_ns=0, detail={"line": "range-check", "answer": "yes"})
    append_events(path, [note(), put_back])
    session = open_session(path)
    assert (session.facts.notes, session.facts.put_back) == (("later",), (("range-check", "yes"),))
    assert (session.evidence_hash, session.damage) == (code, ())
    assert files_in(tmp_path) == ["a.t2h"]


def test_a_drop_added_later_reaches_its_run(tmp_path):
    small_session(tmp_path / "a.t2h")
    append_events(tmp_path / "a.t2h", [Event(kind=EventKind.DROP, at_ns=0, run=1, detail={"flip_ns": 5})])
    assert open_session(tmp_path / "a.t2h").runs()[0].drops_ns == (5,)


@pytest.mark.parametrize("kind", ["run-start", "run-stop", "pause", "resume", "mark"])
def test_evidence_is_never_added_later(tmp_path, kind):
    small_session(tmp_path / "a.t2h")
    before = (tmp_path / "a.t2h").read_bytes()
    with pytest.raises(WrongCall, match=kind):
        append_events(tmp_path / "a.t2h", [note(), Event(kind=EventKind(kind), at_ns=0)])
    assert (tmp_path / "a.t2h").read_bytes() == before


def test_nothing_is_added_to_a_session_that_is_not_closed_or_none(tmp_path):
    stopped_early(tmp_path / "a.t2h")
    with pytest.raises(WrongInput, match="stopped early"):
        append_events(tmp_path / "a.t2h", [note()])
    (tmp_path / "b.t2h").write_bytes(b"something else")
    with pytest.raises(WrongInput, match="is no session"):
        append_events(tmp_path / "b.t2h", [note()])
    assert (tmp_path / "b.t2h").read_bytes() == b"something else"
    assert not lock_path(tmp_path / "b.t2h").exists()


def test_an_interrupted_addition_is_taken_back_when_the_session_is_opened(tmp_path):
    path = tmp_path / "a.t2h"
    code = small_session(path)
    whole = path.read_bytes()
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA cache_spill = ON")
    connection.execute("PRAGMA cache_size = 1")
    connection.execute("BEGIN IMMEDIATE")
    text = '{"text":"' + "x" * 50_000 + '"}'
    connection.execute("INSERT INTO event VALUES (NULL, 0, NULL, 'note', ?, 0)", (text,))
    connection.execute("UPDATE session SET name = 'half'")
    torn, journal = path.read_bytes(), (tmp_path / "a.t2h-journal").read_bytes()
    connection.execute("ROLLBACK")
    connection.close()
    assert torn != whole  # the write had reached the file
    path.write_bytes(torn)
    (tmp_path / "a.t2h-journal").write_bytes(journal)
    session = open_session(path)
    assert (session.evidence_hash, session.damage, session.facts.name) == (code, (), "bench one")
    assert path.read_bytes() == torn  # opening plays back a copy


def test_a_journal_that_names_another_file_is_never_played_back(tmp_path):
    # A rollback journal may end with the name of a super-journal; playing it back deletes that file
    # (sqlite.org/atomiccommit.html, section 5).
    path = tmp_path / "a.t2h"
    small_session(path)
    precious = tmp_path / "precious"
    precious.write_bytes(b"x" * 100)
    name = os.fsencode(precious)
    total = sum(name) & 0xFFFFFFFF
    record = name + len(name).to_bytes(4, "big") + total.to_bytes(4, "big") + bytes.fromhex("d9d505f920a163d7")
    (tmp_path / "a.t2h-journal").write_bytes(bytes.fromhex("d9d505f920a163d7") + bytes(504) + record)
    for touch in (open_session, recover, lambda path: append_events(path, [note()])):
        with pytest.raises(WrongInput, match="names another database"):
            touch(path)
    assert precious.exists()


def test_a_lock_left_by_a_killed_process_is_taken_over(tmp_path):
    lock_path(tmp_path / "a.t2h").write_bytes(b"")
    assert not is_held(tmp_path / "a.t2h")
    lock = take_lock(tmp_path / "a.t2h")
    assert is_held(tmp_path / "a.t2h")
    with pytest.raises(SessionBusy):
        take_lock(tmp_path / "a.t2h")
    lock.release()
    lock.release()
    assert not is_held(tmp_path / "a.t2h")
    assert files_in(tmp_path) == []


def test_a_session_is_readable_by_others_as_any_file_is(tmp_path):
    small_session(tmp_path / "a.t2h", seconds=1)
    assert stat.S_IMODE((tmp_path / "a.t2h").stat().st_mode) & 0o444 == 0o444


def test_when_a_session_was_saved_leaves_no_trace_in_a_copy(tmp_path):
    for name, commit_each in (("often", True), ("once", False)):
        writer = new_writer(tmp_path / f"{name}.t2h")
        writer.add_stretch(stretch())
        for second in range(60):
            writer.add_record(1, samples(second * 1_000_000_000, 1000))
            writer.add_record(1, pulses(second * 1_000_000_000, (second + 1) * 1_000_000_000 - 22_500_000))
            if commit_each:
                writer.commit()
        writer.close()
        save_copy(tmp_path / f"{name}.t2h", tmp_path / f"{name} copied.t2h")
    assert len(open_session(tmp_path / "often.t2h").packed) > 3
    assert (tmp_path / "often.t2h").read_bytes() != (tmp_path / "once.t2h").read_bytes()
    assert (tmp_path / "often copied.t2h").read_bytes() == (tmp_path / "once copied.t2h").read_bytes()
