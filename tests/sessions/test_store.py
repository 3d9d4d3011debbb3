import sqlite3
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from benchapp.records.errors import DiskTrouble, OutputExists, SessionBusy, WrongCall, WrongInput
from benchapp.records.events import Event, EventKind
from benchapp.records.run import Origin
from benchapp.records.stream import COARSE, LOST_BEFORE, ClockPairs, Edges, Gap, Levels
from benchapp.sessions.amending import append_events
from benchapp.sessions.blocks import LONGEST_BLOCK_NS, MOST_IN_A_BLOCK
from benchapp.sessions.lock import lock_path
from benchapp.sessions.opening import open_session
from tests.sessions.session_builder import (
    OUTPUT,
    STICK,
    SWITCH,
    edges,
    fill,
    new_writer,
    pairs,
    pulses,
    samples,
    small_session,
    start,
    stretch,
)

HOSTILE = [
    "<img src=file:///etc/passwd onerror=alert(1)>",
    "=HYPERLINK(1)",
    "\u202egnp.exe \u2066\u2069",
    "line\nbreak\r\t\x00\x1b[31m",
    "x" * 10_000,
    "",
    "\U0001f6e9 ÄÖÜ ｡",
]


def files_in(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_closed_session_is_a_single_file(tmp_path):
    small_session(tmp_path / "a.t2h")
    assert files_in(tmp_path) == ["a.t2h"]


def test_the_header_is_that_of_an_sqlite_file_with_our_mark_at_offset_68(tmp_path):
    # sqlite.org/fileformat2.html, section 1.3: magic string at 0, write and read version at 18 and 19 (1: rollback
    # journal), user version at 60, application id at 68, big-endian.
    small_session(tmp_path / "a.t2h")
    header = (tmp_path / "a.t2h").read_bytes()[:100]
    assert header[:16] == b"SQLite format 3\x00"
    assert header[18:20] == b"\x01\x01"
    assert header[60:64] == (1).to_bytes(4, "big")
    assert header[68:72] == b"T2h1"


def test_everything_recorded_comes_back(tmp_path):
    path = tmp_path / "a.t2h"
    writer = new_writer(path, started="2026-03-01T10:00:00+01:00")
    fill(writer, seconds=5)
    code = writer.close()
    session = open_session(path)
    assert session.damage == ()
    assert session.kept == ""
    assert session.evidence_hash == code
    assert session.stretches == (stretch(),)
    wanted = np.concatenate([pulses(at, at + 227_500_000).times_ns for at in range(0, 5 * 10**9, 250_000_000)])
    found = session.edges(1, OUTPUT)
    assert np.array_equal(found.times_ns, wanted)
    assert np.array_equal(found.levels, (np.arange(wanted.size) + 1) & 1)
    assert not found.times_ns.flags.writeable
    assert session.levels(1, STICK).count == 5000
    assert session.levels(1, STICK).values.dtype == np.uint16
    assert session.clock(1).probe_ns.size == 40
    assert session.gaps(1, SWITCH)[0].count == 3
    assert session.gaps(1, OUTPUT) == ()
    assert session.facts.started == "2026-03-01T10:00:00+01:00"
    assert [event.kind.value for event in session.events] == ["run-start", "mark", "run-stop"]


def test_flags_and_levels_that_do_not_alternate_come_back(tmp_path):
    writer = new_writer(tmp_path / "a.t2h")
    writer.add_stretch(stretch())
    given_edges = Edges(
        lead=SWITCH,
        times_ns=np.array([5, 5, 9, 12], dtype=np.int64),
        levels=np.array([1, 1, 0, 0], dtype=np.uint8),
        flags=np.array([0, COARSE, LOST_BEFORE, COARSE | LOST_BEFORE], dtype=np.uint8),
    )
    writer.add_record(1, given_edges)
    writer.close()
    found = open_session(tmp_path / "a.t2h").edges(1, SWITCH)
    assert [found.times_ns.tolist(), found.levels.tolist(), found.flags.tolist()] == [
        [5, 5, 9, 12],
        [1, 1, 0, 0],
        [0, 1, 2, 3],
    ]


def test_volts_of_a_capture_come_back_bit_for_bit(tmp_path):
    writer = new_writer(tmp_path / "a.t2h", origin=Origin.CAPTURE)
    writer.add_stretch(stretch())
    volts = np.array([0.1, -0.0, 1e-300, 3.3000000000000003, np.nan])
    writer.add_record(1, Levels(lead=STICK, times_ns=np.arange(-2, 3, dtype=np.int64), values=volts))
    writer.close()
    found = open_session(tmp_path / "a.t2h").levels(1, STICK)
    assert found.values.tobytes() == volts.tobytes()
    assert found.times_ns.tolist() == [-2, -1, 0, 1, 2]


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    times=st.lists(st.integers(-(10**12), 10**13), min_size=1, max_size=200).map(sorted),
    cuts=st.lists(st.integers(0, 200), max_size=6).map(sorted),
    data=st.data(),
)
def test_where_the_commits_fall_changes_neither_evidence_nor_blocks(tmp_path, times, cuts, data):
    states = np.array(data.draw(st.lists(st.integers(0, 1), min_size=len(times), max_size=len(times))), dtype=np.uint8)
    codes, layouts = [], []
    for name, places in (("once.t2h", []), ("often.t2h", cuts)):
        writer = new_writer(tmp_path / name, force=True)
        writer.add_stretch(stretch())
        for begin, end in zip([0, *places], [*places, len(times)], strict=True):
            part = np.array(times[begin:end], dtype=np.int64)
            flags = np.zeros(part.size, dtype=np.uint8)
            writer.add_record(1, Edges(lead=0, times_ns=part, levels=states[begin:end], flags=flags))
            writer.commit()
        codes.append(writer.close())
        with sqlite3.connect(tmp_path / name) as connection:
            layouts.append(connection.execute("SELECT number, first_ns, last_ns, count, data FROM block").fetchall())
        connection.close()
        found = open_session(tmp_path / name).edges(1, 0)
        assert found.times_ns.tolist() == times
        assert np.array_equal(found.levels, states)
    assert codes[0] == codes[1]
    assert layouts[0] == layouts[1]


def test_commit_acknowledges_edges_samples_pairs_and_gaps(tmp_path):
    writer = new_writer(tmp_path / "a.t2h")
    writer.add_stretch(stretch())
    assert writer.commit() == 0
    writer.add_record(1, edges(SWITCH, [1, 2, 3]))
    writer.add_record(1, samples(0, 10))
    writer.add_record(1, pairs(0, 2))
    writer.add_record(1, Gap(leads=(), from_ns=0, to_ns=5, cause="damaged frame"))
    assert writer.acknowledged == 0
    assert writer.commit() == 16
    writer.add_record(1, edges(SWITCH, []))
    assert writer.commit() == 16
    writer.abandon()


def test_a_full_block_is_sealed_and_a_slow_lead_gets_a_new_block_every_half_minute(tmp_path):
    path = tmp_path / "a.t2h"
    writer = new_writer(path)
    writer.add_stretch(stretch())
    for begin in range(0, 20_000, 1000):
        writer.add_record(1, edges(OUTPUT, range(begin, begin + 1000)))
        writer.commit()
    for second in range(100):
        writer.add_record(1, edges(SWITCH, [second * 10**9]))
        writer.commit()
    writer.close()
    connection = sqlite3.connect(path)
    layout = connection.execute("SELECT lead, number, count, last_ns - first_ns FROM block ORDER BY lead, number")
    rows = layout.fetchall()
    connection.close()
    assert [row[:3] for row in rows if row[0] == OUTPUT] == [
        (OUTPUT, 0, MOST_IN_A_BLOCK),
        (OUTPUT, 1, MOST_IN_A_BLOCK),
        (OUTPUT, 2, 20_000 - 2 * MOST_IN_A_BLOCK),
    ]
    assert [row[2] for row in rows if row[0] == SWITCH] == [31, 31, 31, 7]
    assert max(row[3] for row in rows) <= LONGEST_BLOCK_NS


@pytest.mark.parametrize("typed", HOSTILE)
def test_names_and_fields_are_kept_as_typed(tmp_path, typed):
    extra = [
        Event(kind=EventKind.BENCH, at_ns=0, detail={"transmitter": typed, typed: "x"}),
        Event(kind=EventKind.NOTE, at_ns=0, detail={"text": typed}),
    ]
    small_session(tmp_path / "a.t2h", seconds=1, extra=extra, name=typed)
    facts = open_session(tmp_path / "a.t2h").facts
    assert facts.name == typed
    assert facts.bench["transmitter"] == typed
    assert facts.bench[typed] == "x"
    assert facts.notes == (typed,)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), b"bytes", {1, 2}])
def test_a_field_that_is_nothing_to_store_is_refused_when_it_is_given(tmp_path, value):
    writer = new_writer(tmp_path / "a.t2h")
    entry = Event(kind=EventKind.BENCH, at_ns=0, detail={"distance": value})
    with pytest.raises(WrongInput, match=r"\(bench\) cannot be kept"):
        writer.add_event(entry)
    writer.close()
    with pytest.raises(WrongInput, match=r"\(bench\) cannot be kept"):
        append_events(tmp_path / "a.t2h", [entry])
    assert open_session(tmp_path / "a.t2h").events == ()


def test_a_name_that_is_no_unicode_text_is_kept_with_its_bytes_spelled_out(tmp_path):
    small_session(tmp_path / "a.t2h", seconds=1, name="caf\udce9")
    assert open_session(tmp_path / "a.t2h").facts.name == "caf\\udce9"


@pytest.mark.parametrize(
    "name", ["a b%41?#&.t2h", "ünï ☃.t2h", "<b>.t2h", "'; DROP TABLE block; --.t2h", "\u202etxt.t2h"]
)
def test_any_file_name_opens_exactly_that_file(tmp_path, name):
    code = small_session(tmp_path / name, seconds=1)
    assert files_in(tmp_path) == [name]
    assert open_session(tmp_path / name).evidence_hash == code


def test_an_existing_file_is_refused_unless_it_is_to_be_replaced(tmp_path):
    path = tmp_path / "a.t2h"
    path.write_bytes(b"precious")
    with pytest.raises(OutputExists, match="already there"):
        new_writer(path)
    assert path.read_bytes() == b"precious"
    new_writer(path, force=True).close()
    assert open_session(path).closed


def test_the_remains_of_another_session_are_not_played_into_a_new_one(tmp_path):
    victim = new_writer(tmp_path / "a.t2h")
    fill(victim, seconds=2)
    stale = (tmp_path / "a.t2h-wal").read_bytes()
    victim.abandon()
    (tmp_path / "a.t2h").unlink()
    (tmp_path / "a.t2h-wal").write_bytes(stale)
    with pytest.raises(OutputExists, match=r"a\.t2h-wal is there already"):
        new_writer(tmp_path / "a.t2h")
    assert (tmp_path / "a.t2h-wal").read_bytes() == stale
    new_writer(tmp_path / "a.t2h", force=True).close()
    assert open_session(tmp_path / "a.t2h").stretches == ()


def test_a_second_writer_of_one_file_is_refused_while_the_first_one_lives(tmp_path):
    first = new_writer(tmp_path / "a.t2h")
    with pytest.raises(SessionBusy, match="another program"):
        new_writer(tmp_path / "a.t2h", force=True)
    first.add_stretch(stretch())
    first.close()
    assert not lock_path(tmp_path / "a.t2h").exists()
    new_writer(tmp_path / "a.t2h", force=True).close()


@pytest.mark.parametrize(
    ("name", "error"),
    [("no/folder.t2h", DiskTrouble), ("x" * 5000 + ".t2h", WrongCall), ("a\x00b.t2h", WrongCall), ("", WrongCall)],
)
def test_an_impossible_target_is_refused_in_words_and_leaves_nothing(tmp_path, name, error):
    with pytest.raises(error) as caught:
        new_writer(tmp_path / name)
    assert len(caught.value.message) < 400
    assert files_in(tmp_path) == []


def test_stamps_that_go_back_are_refused(tmp_path):
    writer = new_writer(tmp_path / "a.t2h")
    writer.add_stretch(stretch())
    writer.add_record(1, edges(SWITCH, [10, 20]))
    with pytest.raises(WrongInput, match="lead 1 go back"):
        writer.add_record(1, edges(SWITCH, [19]))
    with pytest.raises(WrongInput, match="lead 1 go back"):
        writer.add_record(1, edges(SWITCH, [30, 29]))
    writer.add_record(1, edges(SWITCH, [20]))
    writer.close()
    assert open_session(tmp_path / "a.t2h").edges(1, SWITCH).times_ns.tolist() == [10, 20, 20]


def test_a_reader_sees_what_was_acknowledged_while_the_writer_goes_on(tmp_path):
    path = tmp_path / "a.t2h"
    writer = new_writer(path)
    writer.add_stretch(stretch())
    writer.add_event(start(at_ns=0))
    writer.add_record(1, edges(SWITCH, [10]))
    writer.commit()
    writer.add_record(1, edges(SWITCH, [20]))
    session = open_session(path)
    assert session.live
    assert session.kept == "is still being recorded; 1 of 1 blocks good"
    assert session.edges(1, SWITCH).times_ns.tolist() == [10]
    writer.commit()
    assert open_session(path).edges(1, SWITCH).times_ns.tolist() == [10, 20]
    writer.close()
    assert files_in(tmp_path) == ["a.t2h"]


def test_abandoning_leaves_a_session_that_was_stopped_early(tmp_path):
    path = tmp_path / "a.t2h"
    writer = new_writer(path)
    fill(writer, seconds=3)
    writer.abandon()
    writer.abandon()
    assert open_session(path).kept == "was stopped early; 5 of 5 blocks good"


def test_a_clock_without_pairs_is_none(tmp_path):
    writer = new_writer(tmp_path / "a.t2h")
    writer.add_stretch(stretch())
    writer.add_record(1, ClockPairs(probe_ns=np.empty(0, dtype=np.int64), host_ns=np.empty(0, dtype=np.int64)))
    writer.close()
    assert open_session(tmp_path / "a.t2h").clock(1) is None


def test_writing_after_a_stretch_that_was_never_added_is_a_mistake_of_the_caller(tmp_path):
    writer = new_writer(tmp_path / "a.t2h")
    with pytest.raises(ValueError, match="stretch 1 was never added"):
        writer.add_record(1, edges(SWITCH, [1]))
    with pytest.raises(ValueError, match="wanted stretch 1"):
        writer.add_stretch(stretch(2))
    writer.abandon()
