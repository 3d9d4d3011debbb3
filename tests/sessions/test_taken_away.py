"""The file of a session is taken away or replaced while it is written: noticed at the next commit, and carried on."""

import os
import shutil
from pathlib import Path

import numpy as np
import pytest

from benchapp.records.errors import SessionTakenAway
from benchapp.sessions import store, taken_away
from benchapp.sessions.opening import open_session, verify
from benchapp.sessions.store import SessionWriter
from tests.sessions.session_builder import OUTPUT, SWITCH, edges, new_writer, small_session, start, stretch

S = 1_000_000_000


def begun(path, *, seconds=5):
    writer = new_writer(path)
    writer.add_stretch(stretch())
    writer.add_event(start(at_ns=0))
    go_on(writer, 1, seconds)
    return writer


def go_on(writer, first, last) -> None:
    for second in range(first, last + 1):
        writer.add_record(1, edges(SWITCH, [second * S], first_level=second & 1))
        writer.add_record(1, edges(OUTPUT, np.arange((second - 1) * S, second * S, S // 40)))
        writer.commit()


def removed(path):
    path.unlink()


def renamed(path):
    path.rename(path.with_name("elsewhere.t2h"))


def replaced(path):
    other = path.with_name("other.t2h")
    small_session(other, seconds=2)
    other.replace(path)


@pytest.mark.parametrize("away", [removed, renamed, replaced])
def test_the_session_goes_on_in_a_new_file_beside_it_with_everything(tmp_path, away):
    path = tmp_path / "a.t2h"
    writer = begun(path)
    away(path)
    before = path.read_bytes() if path.exists() else None
    assert writer.commit() == writer.acknowledged  # nothing to write, and noticed all the same
    new = tmp_path / "a 2.t2h"
    assert writer.path == new
    go_on(writer, 6, 9)
    code = writer.close()
    assert verify(new).ok
    assert open_session(new).evidence_hash == code
    assert open_session(new).edges(1, SWITCH).count == 9
    assert (path.read_bytes() if path.exists() else None) == before
    left = {file.name for file in tmp_path.iterdir()} - {"a.t2h", "elsewhere.t2h"}
    assert left == {"a 2.t2h"}


def test_what_replaced_it_is_never_mixed_with_what_was_left_beside_it(tmp_path):
    path = tmp_path / "a.t2h"
    writer = begun(path)
    replaced(path)
    go_on(writer, 6, 6)
    assert verify(path).ok
    assert open_session(path).edges(1, SWITCH).count == 2
    writer.close()


def test_with_its_whole_folder_gone_it_goes_on_in_the_one_above(tmp_path):
    folder = tmp_path / "bench" / "today"
    folder.mkdir(parents=True)
    writer = begun(folder / "a.t2h")
    shutil.rmtree(tmp_path / "bench")
    go_on(writer, 6, 8)
    assert writer.path == tmp_path / "a 2.t2h"
    writer.close()
    assert open_session(writer.path).edges(1, SWITCH).count == 8


def test_taken_away_twice_it_goes_on_twice(tmp_path):
    writer = begun(tmp_path / "a.t2h")
    (tmp_path / "a.t2h").unlink()
    go_on(writer, 6, 6)
    (tmp_path / "a 2.t2h").unlink()
    go_on(writer, 7, 7)
    writer.close()
    assert open_session(writer.path).edges(1, SWITCH).count == 7


def test_its_second_file_alone_taken_away_costs_nothing_and_is_made_anew(tmp_path):
    path = tmp_path / "a.t2h"
    writer = begun(path)
    (tmp_path / "a.t2h-wal").unlink()
    go_on(writer, 6, 6)
    # killed now: the session lies there with both its files
    for ending in ("", "-wal"):
        shutil.copy(tmp_path / f"a.t2h{ending}", tmp_path / f"killed.t2h{ending}")
    killed = open_session(tmp_path / "killed.t2h")
    assert (killed.edges(1, SWITCH).count, killed.damage) == (6, ())
    assert writer.path == path
    writer.close()
    assert open_session(path).edges(1, SWITCH).count == 6


def test_where_no_other_file_can_be_written_it_stops_and_does_not_call_it_kept(tmp_path, monkeypatch):
    path = tmp_path / "a.t2h"
    writer = begun(path)
    path.unlink()

    def refuse(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("benchapp.sessions.taken_away._copy_to", refuse)
    with pytest.raises(SessionTakenAway) as caught:
        go_on(writer, 6, 6)
    assert caught.value.kept == "Nothing more is saved."
    assert str(tmp_path) in caught.value.message
    with pytest.raises(SessionTakenAway):
        writer.close()
    writer.abandon()


def test_what_is_replaced_between_the_last_commit_and_the_end_is_not_called_kept(tmp_path, monkeypatch):
    path = tmp_path / "a.t2h"
    writer = begun(path)
    small_session(tmp_path / "other.t2h", seconds=2)
    monkeypatch.setattr(SessionWriter, "_stay", lambda writer: None)
    (tmp_path / "other.t2h").replace(path)
    with pytest.raises(SessionTakenAway, match="not what was written"):
        writer.close()
    writer.abandon()


@pytest.mark.parametrize("answers", ["fails", "changes"])
def test_a_file_system_that_cannot_say_where_a_file_is_does_not_move_the_session(tmp_path, monkeypatch, answers):
    path = tmp_path / "a.t2h"
    writer = begun(path)
    real = Path.stat
    asked = iter(range(1_000_000))

    def stat(self, **words):
        facts = real(self, **words)
        if self != path:
            return facts
        if answers == "fails":
            raise OSError(5, "Input/output error")
        return os.stat_result((facts.st_mode, next(asked), *tuple(facts)[2:]))

    monkeypatch.setattr(Path, "stat", stat)
    go_on(writer, 6, 8)
    monkeypatch.setattr(Path, "stat", real)
    assert writer.path == path
    writer.close()
    assert open_session(path).edges(1, SWITCH).count == 8


def test_a_folder_that_goes_while_the_new_file_is_made_costs_one_more_try(tmp_path, monkeypatch):
    path = tmp_path / "today" / "a.t2h"
    path.parent.mkdir()
    writer = begun(path)
    path.unlink()
    copy_to, tries = taken_away._copy_to, []

    def copy_later(new, connection):
        tries.append(new)
        if len(tries) == 1:
            shutil.rmtree(path.parent)
        copy_to(new, connection)

    monkeypatch.setattr(taken_away, "_copy_to", copy_later)
    writer.commit()
    assert tries == [path.parent / "a 2.t2h", tmp_path / "a 2.t2h"]
    assert writer.path == tmp_path / "a 2.t2h"
    code = writer.close()
    assert open_session(writer.path).evidence_hash == code
    assert open_session(writer.path).edges(1, SWITCH).count == 5


def test_a_folder_deleted_second_file_first_is_waited_for_and_nothing_is_lost(tmp_path, monkeypatch):
    path = tmp_path / "today" / "a.t2h"
    path.parent.mkdir()
    writer = begun(path)
    path.with_name("a.t2h-wal").unlink()
    monkeypatch.setattr(store.time, "sleep", lambda _seconds: shutil.rmtree(path.parent, ignore_errors=True))
    writer.commit()
    assert writer.path == tmp_path / "a 2.t2h"
    code = writer.close()
    assert verify(writer.path).ok
    assert open_session(writer.path).evidence_hash == code
    assert open_session(writer.path).edges(1, SWITCH).count == 5
