"""A session with damage: refused with a reason, or what is lost is said; never a silently wrong number."""

import json
import random
import shutil
import sqlite3

import numpy as np
import pytest

from benchapp.records.errors import BenchError, DamagedEvidence, WrongInput
from benchapp.records.events import Event, EventKind
from benchapp.reduction.recipes import reduce_run
from benchapp.sessions.blocks import row_check
from benchapp.sessions.opening import open_session, verify
from tests.sessions.session_builder import (
    OUTPUT,
    STICK,
    SWITCH,
    edges,
    new_writer,
    samples,
    small_session,
    start,
    stop,
    stretch,
)

S = 1_000_000_000


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    """A closed session with blocks of several pages: (its bytes, its code, its output stamps)."""
    path = tmp_path_factory.mktemp("whole") / "a.t2h"
    random_ns = np.random.default_rng(3)
    writer = new_writer(path)
    writer.add_stretch(stretch())
    writer.add_event(start(at_ns=0))
    times = np.sort(random_ns.integers(0, 100 * S, 12_000))
    writer.add_record(1, edges(OUTPUT, times))
    writer.add_record(1, samples(0, 20_000))
    writer.add_record(1, edges(SWITCH, range(S, 100 * S, S)))
    writer.add_event(stop(at_ns=100 * S))
    code = writer.close()
    return path.read_bytes(), code, times


def flipped(data: bytes, bit: int) -> bytes:
    changed = bytearray(data)
    changed[bit // 8] ^= 1 << bit % 8
    return bytes(changed)


def judge(path, code):
    """Return "refused", "found", or "untouched" where the evidence is exactly what it was; fail for anything else."""
    try:
        session = open_session(path)
        records = [session.edges(1, OUTPUT), session.edges(1, SWITCH), session.levels(1, STICK), session.runs()]
    except BenchError:
        return "refused"
    if session.damage or session.kept:
        assert all(run.damaged for run in records[3]) or not session.damage
        return "found"
    assert session.evidence_hash == code
    return "untouched"


def test_each_of_200_flipped_bits_in_block_data_is_found_or_refused(tmp_path, whole):
    data, code, _ = whole
    path = tmp_path / "a.t2h"
    path.write_bytes(data)
    connection = sqlite3.connect(path)
    blobs = [row[0] for row in connection.execute("SELECT data FROM block")]
    connection.close()
    places = [data.find(blob[:16]) for blob in blobs]
    spans = [(place, min(len(blob), 400)) for place, blob in zip(places, blobs, strict=True) if place > 0]
    assert len(spans) >= 5
    chance = random.Random(11)
    verdicts = []
    for _ in range(200):
        place, length = chance.choice(spans)
        path.write_bytes(flipped(data, 8 * (place + chance.randrange(length)) + chance.randrange(8)))
        verdicts.append(judge(path, code))
    assert "untouched" not in verdicts
    assert verdicts.count("found") > 150  # one bad block does not cost the session


def test_each_of_300_flipped_bits_anywhere_is_found_refused_or_of_no_effect(tmp_path, whole):
    data, code, _ = whole
    path = tmp_path / "a.t2h"
    chance = random.Random(12)
    verdicts = []
    for _ in range(300):
        path.write_bytes(flipped(data, chance.randrange(8 * len(data))))
        verdicts.append(judge(path, code))
    assert verdicts.count("found") > 100
    assert verdicts.count("untouched") < 150  # this small file is about a third empty


@pytest.mark.parametrize("bit", range(0, 800, 7))
def test_a_flipped_bit_in_the_header_is_never_a_wrong_number(tmp_path, whole, bit):
    data, code, _ = whole
    (tmp_path / "a.t2h").write_bytes(flipped(data, bit))
    judge(tmp_path / "a.t2h", code)


def test_each_of_60_truncations_is_refused(tmp_path, whole):
    data, _, _ = whole
    path = tmp_path / "a.t2h"
    chance = random.Random(13)
    for _ in range(60):
        path.write_bytes(data[: chance.randrange(len(data))])
        with pytest.raises(BenchError) as caught:
            open_session(path)
        assert path.name in caught.value.message


def spoil(path, statement):
    connection = sqlite3.connect(path)
    assert connection.execute(statement).rowcount > 0
    connection.commit()
    connection.close()


@pytest.fixture
def session(tmp_path):
    path = tmp_path / "a.t2h"
    small_session(path, seconds=70)
    return path


def test_a_block_with_damaged_data_is_a_gap_of_exactly_its_span(session):
    before = open_session(session).edges(1, OUTPUT)
    spoil(session, "UPDATE block SET data = zeroblob(40) WHERE kind = 'edges' AND lead = 0 AND number = 1")
    after = open_session(session)
    (gap,) = [gap for gap in after.gaps(1, OUTPUT) if gap.cause == "lost-block"]
    assert 29 * S < gap.from_ns < 31 * S
    assert 59 * S < gap.to_ns < 61 * S
    lost = (before.times_ns >= gap.from_ns) & (before.times_ns <= gap.to_ns)
    assert np.array_equal(after.edges(1, OUTPUT).times_ns, before.times_ns[~lost])
    assert gap not in after.gaps(1, SWITCH)
    assert after.damage[0].startswith("1 of ")
    assert "edges of lead 0 from 30." in after.damage[0]
    assert after.runs()[0].damaged
    assert not verify(session).ok


@pytest.mark.parametrize(
    "statement", ["DELETE FROM block WHERE id = {id}", "UPDATE block SET lead = 5 WHERE id = {id}"]
)
def test_a_block_that_is_gone_is_a_gap_between_its_neighbours(session, statement):
    connection = sqlite3.connect(session)
    row = connection.execute("SELECT id FROM block WHERE kind = 'edges' AND lead = 0 AND number = 1").fetchone()[0]
    connection.close()
    before = open_session(session).edges(1, OUTPUT).times_ns
    spoil(session, statement.format(id=row))
    after = open_session(session)
    (gap,) = [gap for gap in after.gaps(1, OUTPUT) if gap.cause == "lost-block"]
    kept = after.edges(1, OUTPUT).times_ns
    assert gap.from_ns in kept
    assert gap.to_ns in kept
    assert np.array_equal(kept, before[(before <= gap.from_ns) | (before >= gap.to_ns)])


def test_when_a_last_block_may_be_missing_every_lead_has_a_gap_at_its_end(session):
    spoil(session, "UPDATE block SET lead = 77 WHERE kind = 'edges' AND lead = 0 AND number = 2")
    after = open_session(session)
    ends = [gap for gap in after.gaps(1) if gap.cause == "lost-block"]
    assert {lead for gap in ends for lead in gap.leads} == {OUTPUT, SWITCH, STICK}
    for lead in (OUTPUT, SWITCH):
        assert any(
            gap.leads == (lead,) and gap.from_ns == after.edges(1, lead).times_ns[-1] and gap.to_ns >= 70 * S
            for gap in ends
        )


@pytest.mark.parametrize(
    ("statement", "words"),
    [
        ("UPDATE event SET at_ns = at_ns + 1 WHERE kind = 'run-start'", "1 of 3 entries of the log are damaged"),
        ("UPDATE event SET detail = '{}' WHERE kind = 'run-stop'", "1 of 3 entries of the log are damaged"),
        ("DELETE FROM event WHERE kind = 'run-stop'", "evidence code"),
        ("UPDATE stretch SET origin_ns = 5", "Stretch 1: its description does not match"),
        ("UPDATE stretch SET descriptors = replace(descriptors, '62.5', '62.6')", "Stretch 1: its description"),
        ("UPDATE session SET name = 'other'", "What the session says of itself"),
        ("UPDATE session SET evidence_hash = 'sha256:00'", "What the session says of itself"),
        ("UPDATE block SET last_ns = last_ns + 1 WHERE id = 1", "blocks damaged"),
        ("UPDATE block SET count = count + 1 WHERE id = 1", "blocks damaged"),
        ("UPDATE block SET data_crc = 1 WHERE id = 1", "blocks damaged"),
        ("DELETE FROM block WHERE kind = 'clock'", "evidence code"),
    ],
)
def test_a_change_in_any_table_is_said(session, statement, words):
    spoil(session, statement)
    checked = verify(session)
    assert not checked.ok
    assert any(words in sentence for sentence in checked.damaged)
    for run in open_session(session).runs():
        assert run.damaged


def test_a_start_that_is_no_date_is_said_and_left_out(tmp_path):
    small_session(tmp_path / "a.t2h", seconds=1, started="<b>yesterday</b>")
    session = open_session(tmp_path / "a.t2h")
    assert session.facts.started is None
    assert session.damage == ("The session's start is no date; it is left out.",)


@pytest.mark.parametrize(
    ("what", "value"), [("tick_hz", 0), ("tick_hz", -1), ("serial", None), ("clock_kind", "sundial"), ("start_id", 1.5)]
)
def test_a_board_that_cannot_be_is_left_out_with_what_it_recorded(tmp_path, what, value):
    small_session(tmp_path / "a.t2h", seconds=1)
    connection = sqlite3.connect(tmp_path / "a.t2h")
    row = list(connection.execute("SELECT * FROM stretch").fetchone())
    text = json.loads(row[5])
    text["board"][what] = value
    row[5] = json.dumps(text, sort_keys=True, separators=(",", ":"))
    row[4] = value if what == "tick_hz" else row[4]
    connection.execute("DELETE FROM stretch")
    connection.execute("INSERT INTO stretch VALUES (?, ?, ?, ?, ?, ?, ?)", (*row[:6], row_check(*row[:6])))
    connection.commit()
    connection.close()
    session = open_session(tmp_path / "a.t2h")
    assert session.stretches == ()
    assert session.runs() == ()
    assert session.damage[0].startswith("Stretch 1: its description ")
    assert "is not a valid" not in session.damage[0]


@pytest.mark.parametrize("levels", [21, 300, 900, 5_000])
def test_an_entry_or_a_description_nested_without_end_is_damaged_and_not_unwound(tmp_path, levels):
    path = tmp_path / "a.t2h"
    small_session(path, seconds=1)
    nest = "[" * levels + "]" * levels
    connection = sqlite3.connect(path)
    cells = (5, None, "note", f'{{"text":{nest}}}')
    connection.execute("INSERT INTO event VALUES (NULL, ?, ?, ?, ?, ?)", (*cells, row_check(*cells)))
    row = connection.execute("SELECT * FROM stretch").fetchone()
    other = (row[0] + 1, *row[1:5], f'{{"a":{nest},{row[5][1:]}')
    connection.execute("INSERT INTO stretch VALUES (?, ?, ?, ?, ?, ?, ?)", (*other, row_check(*other)))
    connection.commit()
    connection.close()
    session = open_session(path)
    assert "1 of 4 entries of the log are damaged, left out." in session.damage
    assert any(sentence.startswith("Stretch 2: its description is no text") for sentence in session.damage)
    assert len(session.stretches) == 1


def test_no_writer_keeps_what_a_reader_would_call_damaged(tmp_path):
    nest: list[object] = []
    for _ in range(30):
        nest = [nest]
    writer = new_writer(tmp_path / "a.t2h")
    with pytest.raises(WrongInput, match="cannot be kept"):
        writer.add_event(Event(kind=EventKind.NOTE, at_ns=0, detail={"text": nest}))
    writer.close()


def test_a_session_without_its_own_row_is_refused(session):
    spoil(session, "DELETE FROM session")
    with pytest.raises(DamagedEvidence, match="what the session says of itself"):
        open_session(session)


def test_a_spoiled_page_costs_its_rows_and_not_the_session(tmp_path, whole):
    data, _, times = whole
    path = tmp_path / "a.t2h"
    found = 0
    pages = len(data) // 2048
    for page in range(3, pages):
        spoiled = bytearray(data)
        spoiled[page * 2048 : page * 2048 + 200] = b"\xff" * 200
        path.write_bytes(spoiled)
        try:
            session = open_session(path)
        except DamagedEvidence:
            continue
        assert session.damage
        kept = session.edges(1, OUTPUT).times_ns
        assert np.isin(kept, times).all()
        found += 0 < kept.size < times.size or session.levels(1, STICK).count > 0
    assert found > pages // 2


def test_check_counts_blocks_and_names_the_code(tmp_path):
    code = small_session(tmp_path / "a.t2h")
    shutil.copy(tmp_path / "a.t2h", tmp_path / "b.t2h")
    checked = verify(tmp_path / "b.t2h")
    assert (checked.ok, checked.damaged, checked.evidence_hash, checked.kept) == (True, (), code, "")
    assert checked.blocks == 7


# Words ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(40))
def test_no_message_of_a_damaged_file_holds_what_only_a_program_understands(tmp_path, whole, seed):
    data, _, _ = whole
    path = tmp_path / "a.t2h"
    chance = random.Random(seed)
    spoilt = bytearray(data)
    begin = chance.choice((0, 100, 2048, 4096, 6144))
    for _ in range(chance.randrange(1, 30)):
        spoilt[begin + chance.randrange(2048)] = chance.randrange(256)
    path.write_bytes(bytes(spoilt))
    try:
        session = open_session(path)
    except BenchError as refusal:
        said = [refusal.message]
    else:
        said = [*session.damage, session.kept]
    for line in said:
        for word in ("CREATE", "TABLE ", "sqlite", "None", "Errno", "btree", "Tree ", "main ***", "malformed", "JSON"):
            assert word not in line, line


def test_a_damaged_file_does_not_also_say_that_the_probe_missed_records(session):
    spoil(session, "UPDATE block SET data = zeroblob(40) WHERE kind = 'edges' AND lead = 0 AND number = 1")
    spoil(session, "DELETE FROM block WHERE kind = 'gaps'")
    (run,) = open_session(session).runs()
    assert any(gap.cause == "lost-block" for lead in run.leads.values() for gap in lead.gaps)
    findings = reduce_run(run)
    assert "damaged-evidence" in findings.flags
    assert "probe-gap" not in findings.flags


def test_in_whatever_order_its_rows_lie_a_session_is_the_same(session):
    code = open_session(session).evidence_hash
    connection = sqlite3.connect(session)
    ids = [row[0] for row in connection.execute("SELECT id FROM block ORDER BY id")]
    connection.execute("UPDATE block SET id = id + 1000")
    for old, new in zip(ids, reversed(ids), strict=True):
        connection.execute("UPDATE block SET id = ? WHERE id = ?", (new, old + 1000))
    connection.commit()
    connection.close()
    turned = open_session(session)
    assert (turned.evidence_hash, turned.damage) == (code, ())


def test_blocks_whose_numbers_were_exchanged_are_never_read_in_the_wrong_order(session):
    before = open_session(session).edges(1, OUTPUT).times_ns
    connection = sqlite3.connect(session)
    where = "kind = 'edges' AND lead = 0 AND number"
    rows = connection.execute(f"SELECT * FROM block WHERE {where} IN (0, 1) ORDER BY number").fetchall()
    for row, number in zip(rows, (1, 0), strict=True):
        cells = (*row[1:4], number, *row[5:9])
        connection.execute("DELETE FROM block WHERE id = ?", (row[0],))
        connection.execute(
            "INSERT INTO block VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", (row[0], *cells, row_check(*cells), row[10])
        )
    connection.commit()
    connection.close()
    session_now = open_session(session)
    assert session_now.damage
    times = session_now.edges(1, OUTPUT).times_ns
    assert np.all(np.diff(times) >= 0)
    assert np.isin(times, before).all()


@pytest.mark.parametrize("ending", ["", "-wal"])
def test_a_file_of_more_than_two_gigabytes_is_refused_unread(session, ending):
    large = session.with_name(session.name + ending)
    with large.open("ab") as file:
        file.truncate((2 << 30) + 1)
    try:
        with pytest.raises(BenchError, match="is larger than 2 GB") as caught:
            open_session(session)
        assert large.name in caught.value.message
    finally:
        large.unlink()
