"""The second file of a session that was not closed (-wal): missing, short or damaged, it is never passed over."""

import random
import shutil
import zlib

import numpy as np
import pytest

from benchapp.records.errors import DamagedEvidence
from benchapp.sessions.copying import save_copy
from benchapp.sessions.lock import is_held
from benchapp.sessions.opening import open_session, verify
from benchapp.sessions.recovery import recover
from benchapp.sessions.store import SessionWriter
from benchapp.sessions.write_ahead import look_ahead
from tests.sessions.session_builder import OUTPUT, SWITCH, edges, fill, new_writer, start, stretch

S = 1_000_000_000
PAGE = 2048
FRAME = 24 + PAGE
ENDINGS = ("", "-wal", ".lock")


class Left:
    """A session as its killed writer left it, told by the bytes of its files."""

    def __init__(self, folder, write) -> None:
        writer = new_writer(folder / "dying.t2h")
        write(writer)
        self.files = {ending: (folder / f"dying.t2h{ending}").read_bytes() for ending in ENDINGS}
        writer.abandon()

    def put(self, path, **changed: bytes | None):
        """Put it at path with some files changed or, where None, not there."""
        named = {"": "main", "-wal": "wal", ".lock": "note"}
        for ending, data in self.files.items():
            new = changed.get(named[ending], data)
            file = path.with_name(path.name + ending)
            file.unlink(missing_ok=True)
            if new is not None:
                file.write_bytes(new)
        path.with_name(path.name + "-shm").unlink(missing_ok=True)
        return path


def write_seconds(writer: SessionWriter, seconds: int = 60) -> None:
    """One flip and 40 noisy edges a second, each second a commit."""
    writer.add_stretch(stretch())
    writer.add_event(start(at_ns=0))
    chance = np.random.default_rng(5)
    for second in range(1, seconds + 1):
        writer.add_record(1, edges(SWITCH, [second * S], first_level=second & 1))
        writer.add_record(1, edges(OUTPUT, np.sort(chance.integers((second - 1) * S, second * S, 40))))
        writer.commit()


@pytest.fixture(scope="module")
def left(tmp_path_factory):
    return Left(tmp_path_factory.mktemp("left"), write_seconds)


def flips(session) -> int:
    return session.edges(1, SWITCH).count


def test_a_session_left_by_a_kill_is_whole_with_its_second_file_and_its_note(left, tmp_path):
    session = open_session(left.put(tmp_path / "a.t2h"))
    assert (session.damage, session.missing, flips(session)) == ((), None, 60)
    session = open_session(left.put(tmp_path / "a.t2h", note=None))
    assert (session.damage, flips(session)) == ((), 60)


@pytest.mark.parametrize("wal", [None, b""])
def test_without_its_second_file_it_is_said_from_when_to_when_what_was_saved_is_missing(left, tmp_path, wal):
    path = left.put(tmp_path / "a.t2h", wal=wal)
    session = open_session(path)
    there = session.last_ns(1) or 0
    assert session.missing is not None
    assert (session.missing.from_ns, session.missing.to_ns) == (there, 60 * S)
    assert f"from {there / 1e9:.3f} s to 60.000 s" in session.damage[-1]
    assert "2460 records" in session.damage[-1]
    assert "is missing" in session.kept
    assert all(run.damaged for run in session.runs())
    assert not verify(path).ok


@pytest.mark.parametrize("wal", [None, b""])
def test_a_copy_of_the_main_file_alone_made_while_recording_is_not_called_whole(tmp_path, wal):
    left = Left(tmp_path, lambda writer: fill(writer, seconds=2))
    path = left.put(tmp_path / "copied.t2h", wal=wal, note=None)
    session = open_session(path)
    assert session.missing is not None
    assert session.missing.to_ns is None
    assert "copied.t2h-wal" in session.damage[-1]
    assert not verify(path).ok


def test_nothing_is_closed_in_place_while_something_is_missing_and_finding_it_makes_it_whole(left, tmp_path):
    path = left.put(tmp_path / "a.t2h", wal=None)
    before = path.read_bytes()
    for _ in range(2):
        with pytest.raises(DamagedEvidence, match="not closed, so that nothing more is lost"):
            recover(path)
    assert path.read_bytes() == before
    assert not is_held(path)
    assert open_session(path).missing is not None  # the note is there still
    path.with_name("a.t2h-wal").write_bytes(left.files["-wal"])
    recover(path)
    assert verify(path).ok
    assert flips(open_session(path)) == 60
    assert sorted(file.name for file in tmp_path.iterdir()) == ["a.t2h"]


def test_each_of_150_cuts_of_the_second_file_is_noticed_by_the_note(left, tmp_path):
    path = tmp_path / "a.t2h"
    wal = left.files["-wal"]
    chance = random.Random(14)
    for _ in range(150):
        session = open_session(left.put(path, wal=wal[: chance.randrange(len(wal))]))
        whole = flips(session) == 60
        assert whole == (session.missing is None)
        if session.missing is not None:
            assert session.missing.to_ns == 60 * S
            assert session.kept.endswith("is missing")


def test_each_of_200_flipped_bits_in_the_second_file_is_noticed_or_costs_nothing(left, tmp_path):
    path = tmp_path / "a.t2h"
    wal = left.files["-wal"]
    whole = open_session(left.put(path))
    chance = random.Random(15)
    silent = 0
    for _ in range(200):
        changed = bytearray(wal)
        changed[chance.randrange(len(wal))] ^= 1 << chance.randrange(8)
        session = open_session(left.put(path, wal=bytes(changed)))
        if session.damage:
            continue
        silent += 1
        assert session.evidence_hash == whole.evidence_hash
    assert silent < 100


def test_most_of_what_lies_behind_a_flipped_bit_is_read_all_the_same(left, tmp_path):
    path = tmp_path / "a.t2h"
    wal = left.files["-wal"]
    frames = (len(wal) - 32) // FRAME
    changed = bytearray(wal)
    changed[32 + (frames // 10) * FRAME + 24 + 1500] ^= 4
    for note in (left.files[".lock"], None):
        session = open_session(left.put(path, wal=bytes(changed), note=note))
        assert flips(session) == 60
        assert session.missing is None
        assert "a.t2h-wal is damaged in one place" in session.damage[0]


def test_a_fault_that_cannot_be_read_over_says_how_many_steps_are_lost(left, tmp_path):
    path = tmp_path / "a.t2h"
    changed = bytearray(left.files["-wal"])
    frames = (len(changed) - 32) // FRAME
    begin = 32 + (frames // 2) * FRAME
    changed[begin : begin + 4] = (77_000).to_bytes(4, "big")  # a page that is not in the file
    session = open_session(left.put(path, wal=bytes(changed), note=None))
    assert 0 < flips(session) < 60
    assert session.missing is not None
    assert "steps of saving" in session.damage[-1]
    with pytest.raises(DamagedEvidence):
        recover(path)


def test_a_spoilt_head_of_the_second_file_is_read_over(left, tmp_path):
    path = tmp_path / "a.t2h"
    for place in (0, 5, 13, 17, 25, 31):
        changed = bytearray(left.files["-wal"])
        changed[place] ^= 1
        session = open_session(left.put(path, wal=bytes(changed), note=None))
        assert session.damage
        assert flips(session) == 60 or session.missing is not None


def test_a_step_that_the_kill_cut_short_is_no_damage(left, tmp_path):
    # The frames of a transaction that was never acknowledged: no commit among them, or only a part of the last frame.
    path = tmp_path / "a.t2h"
    wal = left.files["-wal"]
    fields = [int.from_bytes(wal[place + 4 : place + 8], "big") for place in range(32, len(wal) - FRAME + 1, FRAME)]
    last_commit = max(number for number, size in enumerate(fields) if size)
    open_step = bytearray(wal[32 + last_commit * FRAME : 32 + (last_commit + 1) * FRAME])
    open_step[4:8] = bytes(4)
    for tail in (bytes(open_step), bytes(open_step[:700])):
        session = open_session(left.put(path, wal=wal[: 32 + (last_commit + 1) * FRAME] + tail))
        assert session.damage == ()


def test_a_copy_of_what_lacks_its_end_goes_on_saying_so(left, tmp_path):
    path = left.put(tmp_path / "a.t2h", wal=left.files["-wal"][: len(left.files["-wal"]) // 2])
    code = save_copy(path, tmp_path / "b.t2h")
    copy = open_session(tmp_path / "b.t2h")
    assert copy.closed
    assert copy.evidence_hash == code == copy.head.evidence_hash
    (sentence,) = copy.damage
    assert "was missing when this copy was made" in sentence
    assert flips(copy) == flips(open_session(path))
    save_copy(tmp_path / "b.t2h", tmp_path / "c.t2h")
    assert open_session(tmp_path / "c.t2h").damage == copy.damage


def test_a_note_of_another_session_says_nothing_of_this_one(left, tmp_path):
    other = Left(tmp_path, lambda writer: write_seconds(writer, 2))
    told = bytearray(left.files[".lock"])
    whose = bytearray(other.files[".lock"])
    assert told[20:24] == whose[20:24]  # the same name, start and program: the note would be believed
    named = tmp_path / "named.t2h"
    writer = new_writer(named, name="another bench")
    write_seconds(writer, 2)
    note = named.with_name("named.t2h.lock").read_bytes()
    writer.close()
    session = open_session(other.put(tmp_path / "a.t2h", note=note))
    assert session.damage == ()


def test_a_second_file_of_a_generation_before_is_no_damage(tmp_path):
    # After a checkpoint SQLite writes over the file from its beginning, with other salts; the rest is of before.
    def write(writer: SessionWriter) -> None:
        write_seconds(writer, 10)
        writer._connection.execute("PRAGMA wal_checkpoint(RESTART)").fetchall()
        for second in range(11, 14):
            writer.add_record(1, edges(SWITCH, [second * S], first_level=second & 1))
            writer.commit()

    left = Left(tmp_path, write)
    path = left.put(tmp_path / "a.t2h")
    assert look_ahead(path.with_name("a.t2h-wal"), PAGE).beyond == 0
    session = open_session(path)
    assert (session.damage, flips(session)) == ((), 13)


def test_a_main_file_of_before_a_checkpoint_with_a_second_file_of_after_it_is_noticed(tmp_path):
    # What a copy made while recording may hold: the main file first, the second one a moment later.
    before = b""

    def write(writer: SessionWriter) -> None:
        nonlocal before
        write_seconds(writer, 10)
        before = (tmp_path / "dying.t2h").read_bytes()
        writer._connection.execute("PRAGMA wal_checkpoint(RESTART)").fetchall()
        for second in range(11, 14):
            writer.add_record(1, edges(SWITCH, [second * S], first_level=second & 1))
            writer.commit()

    left = Left(tmp_path, write)
    path = left.put(tmp_path / "a.t2h", main=before)
    try:
        session = open_session(path)
    except DamagedEvidence:
        return
    assert session.damage


def test_a_session_let_go_in_order_lacks_nothing(tmp_path):
    writer = new_writer(tmp_path / "a.t2h")
    write_seconds(writer, 3)
    writer.abandon()
    assert [file.name for file in tmp_path.iterdir()] == ["a.t2h"]
    session = open_session(tmp_path / "a.t2h")
    assert (session.damage, session.kept) == ((), "was stopped early; 2 of 2 blocks good")
    shutil.copy(tmp_path / "a.t2h", tmp_path / "b.t2h")
    recover(tmp_path / "b.t2h")
    assert verify(tmp_path / "b.t2h").ok


def old_note(left) -> bytes:
    """The note as it was at the beginning, which is what is there where the power went: nothing saved yet."""
    note = bytearray(left.files[".lock"])
    note[24:40] = bytes(16)
    note[40:44] = zlib.crc32(bytes(note[16:40])).to_bytes(4, "big")
    return bytes(note)


def test_a_note_that_is_too_old_excuses_one_torn_step_and_no_more(left, tmp_path):
    path = tmp_path / "a.t2h"
    wal = left.files["-wal"]
    count = (len(wal) - 32) // FRAME
    sizes = [int.from_bytes(wal[32 + number * FRAME + 4 : 32 + number * FRAME + 8], "big") for number in range(count)]
    commits = [number for number, size in enumerate(sizes) if size]
    for steps in (1, 2, 30):
        torn = bytearray(wal[: 32 + (commits[-1] + 1) * FRAME])
        torn[32 + commits[-steps] * FRAME + 24 + 900] ^= 1
        session = open_session(left.put(path, wal=bytes(torn), note=old_note(left)))
        assert bool(session.damage) == (steps > 1), steps
