"""What comes from outside: refused in words, bounded in time and memory, and nothing in it runs."""

import os
import random
import sqlite3
import subprocess
import sys
import time
import tracemalloc
import zlib
from pathlib import Path

import pytest

from benchapp.records.errors import BenchError, DiskTrouble, NewerSession, WrongInput
from benchapp.sessions.blocks import row_check
from benchapp.sessions.connecting import connect_untrusting
from benchapp.sessions.opening import open_session
from benchapp.sessions.schema import APPLICATION_ID, TABLES
from tests.sessions.session_builder import new_writer, small_session

BOMB_HEAD = bytes([1]) + (bytes(7) + bytes([8]) + bytes(8)) * 2


@pytest.fixture
def session(tmp_path) -> Path:
    small_session(tmp_path / "a.t2h", seconds=3)
    return tmp_path / "a.t2h"


def change(path: Path, *statements: str) -> None:
    connection = sqlite3.connect(path)
    for statement in statements:
        connection.execute(statement)
    connection.commit()
    connection.close()


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "is empty"),
        (b"S", "is cut off after 1 bytes"),
        (b"SQLite format 3\x00" + bytes(40), "is cut off after 56 bytes"),
        (b"$timescale 1 ns $end", r'is no session: it begins with "\$timescale 1 ns'),
        (b"PK\x03\x04" + bytes(200), "is no session"),
        (b"SQLite format 3\x00" + bytes(200), "another program's database"),
        (random.Random(1).randbytes(5000), "is no session"),
    ],
)
def test_a_file_that_is_no_session_is_refused_with_its_reason(tmp_path, content, words):
    path = tmp_path / "a.t2h"
    path.write_bytes(content)
    with pytest.raises(BenchError, match=words):
        open_session(path)
    assert path.read_bytes() == content
    assert [name.name for name in tmp_path.iterdir()] == ["a.t2h"]


@pytest.mark.parametrize(
    ("name", "words"),
    [("none.t2h", "is not there"), (".", "is a folder"), ("x" * 4000, "cannot be opened"), ("a\x00b", "no name of a")],
)
def test_a_name_that_leads_nowhere_is_refused_with_its_reason(tmp_path, name, words):
    with pytest.raises(WrongInput, match=words):
        open_session(tmp_path / name)


def test_a_pipe_is_refused_without_waiting_on_it(tmp_path):
    os.mkfifo(tmp_path / "a.t2h")
    with pytest.raises(WrongInput, match="no ordinary file"):
        open_session(tmp_path / "a.t2h")


def test_another_program_s_database_is_refused_by_its_mark(tmp_path):
    change(tmp_path / "a.db", "CREATE TABLE t (x)", "PRAGMA application_id = 1234")
    with pytest.raises(WrongInput, match="another program's database: wanted the mark 0x54326831, got 0x000004d2"):
        open_session(tmp_path / "a.db")


def test_a_newer_session_is_refused_with_its_version_named(session):
    change(session, "PRAGMA user_version = 9")
    with pytest.raises(NewerSession, match="its format is 9, this program reads up to 1"):
        open_session(session)


@pytest.mark.parametrize("version", [0, -1])
def test_a_version_that_never_was_is_refused(session, version):
    change(session, f"PRAGMA user_version = {version}")
    with pytest.raises(WrongInput, match=r"wanted a format of 1 to 1, got"):
        open_session(session)


def test_the_mark_is_the_text_t2h1():
    assert APPLICATION_ID.to_bytes(4, "big") == b"T2h1"


@pytest.mark.parametrize(
    "statements",
    [
        ["CREATE TRIGGER t AFTER INSERT ON event BEGIN DELETE FROM block; END"],
        ["CREATE VIEW v AS SELECT 1"],
        ["CREATE INDEX i ON block (lead)"],
        ["CREATE TABLE extra (x)"],
        ["ALTER TABLE event ADD COLUMN more TEXT"],
        ["DROP TABLE block"],
        ["DROP TABLE block", "CREATE TABLE block (id INTEGER PRIMARY KEY, stretch, kind, lead, number, data)"],
        [
            "DROP TABLE event",
            "CREATE VIEW event AS WITH RECURSIVE c(x) AS (VALUES(1) UNION ALL SELECT x + 1 FROM c) "
            "SELECT x AS id, 0 AS at_ns, 0 AS run, '' AS kind, '' AS detail, 0 AS crc FROM c",
        ],
        ["DROP TABLE event", "CREATE VIRTUAL TABLE event USING fts5(at_ns, run, kind, detail, crc)"],
        ["ALTER TABLE block RENAME TO Block2", "CREATE TABLE block (id INTEGER PRIMARY KEY) STRICT"],
    ],
)
def test_a_schema_that_is_not_exactly_ours_is_refused_before_anything_is_read(session, statements):
    change(session, *statements)
    began = time.monotonic()
    with pytest.raises(WrongInput, match="is not made as a session is"):
        open_session(session)
    assert time.monotonic() - began < 5


def test_a_table_whose_text_in_the_schema_was_edited_is_refused(session):
    change(session, "PRAGMA writable_schema = ON", "UPDATE sqlite_schema SET sql = sql || ' ' WHERE name = 'event'")
    with pytest.raises(BenchError):
        open_session(session)


def test_a_schema_that_makes_the_tables_lie_over_each_other_is_no_wrong_number(session):
    change(
        session,
        "PRAGMA writable_schema = ON",
        "UPDATE sqlite_schema SET rootpage = (SELECT rootpage FROM sqlite_schema WHERE name = 'block') "
        "WHERE name = 'event'",
    )
    try:
        opened = open_session(session)
    except BenchError:
        return
    assert opened.damage


def put_block(path: Path, data: bytes, *, count: int, kind: str = "edges", number: int = 0) -> None:
    """Add a block with every check right, whatever it holds."""
    cells = (1, kind, 9, number, 0, 10, count, zlib.crc32(data))
    connection = sqlite3.connect(path)
    connection.execute(
        "INSERT INTO block VALUES (NULL, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", (*cells, row_check(*cells), data)
    )
    connection.commit()
    connection.close()


@pytest.mark.parametrize("kind", ["edges", "levels", "clock", "gaps"])
def test_a_block_that_would_unpack_without_end_is_refused_in_little_memory(session, kind):
    stream = zlib.compressobj(9, zlib.DEFLATED, -15)
    bomb = stream.compress(bytes(300_000_000)) + stream.flush()
    head = (1 << 20).to_bytes(4, "little") if kind == "gaps" else BOMB_HEAD
    put_block(session, head + bomb, count=60_000, kind=kind)
    tracemalloc.start()
    opened = open_session(session)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert "blocks damaged" in opened.damage[0]
    assert peak < 30_000_000


def test_a_number_of_blocks_beyond_all_counting_is_only_said(session):
    put_block(session, BOMB_HEAD, count=1, number=2**62)
    assert "blocks damaged" in open_session(session).damage[0]


def test_a_huge_value_is_refused_by_its_size(session):
    put_block(session, bytes(20_000_000), count=5)
    tracemalloc.start()
    opened = open_session(session)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert opened.damage
    assert peak < 20_000_000


def test_a_cell_of_another_type_is_found(session):
    change(
        session,
        "PRAGMA writable_schema = ON",
        "UPDATE sqlite_schema SET sql = replace(sql, 'STRICT', '') WHERE name = 'block'",
    )
    change(session, "UPDATE block SET count = 'many' WHERE id = 1")
    change(
        session,
        "PRAGMA writable_schema = ON",
        "UPDATE sqlite_schema SET sql = sql || 'STRICT' WHERE name = 'block'",
    )
    assert any("blocks damaged" in sentence for sentence in open_session(session).damage)


def test_the_connection_reads_the_session_s_tables_and_does_nothing_else(session):
    connection = connect_untrusting(session, mode="ro", immutable=True, limit_s=5)
    for table in TABLES:
        connection.execute(f"SELECT * FROM {table}").fetchall()
    for statement in (
        "INSERT INTO event VALUES (NULL, 0, NULL, 'note', '{}', 0)",
        "DELETE FROM block",
        "CREATE TEMP TABLE t (x)",
        "ATTACH ':memory:' AS other",
        "PRAGMA writable_schema = ON",
        "PRAGMA user_version = 5",
        "SELECT load_extension('x')",
        "SELECT randomblob(1000000000)",
        "WITH RECURSIVE c(x) AS (VALUES(1) UNION ALL SELECT x + 1 FROM c) SELECT count(*) FROM c",
        "VACUUM INTO 'copy.db'",
    ):
        with pytest.raises(sqlite3.DatabaseError, match=r"not authorized|prohibited|authorization denied"):
            connection.execute(statement).fetchall()
    connection.close()


def test_the_connection_stops_when_its_time_is_up(session):
    connection = connect_untrusting(session, mode="ro", immutable=True, limit_s=0.2)
    tables = ", ".join(f"block b{place}" for place in range(24))
    total = " + ".join(f"b{place}.id" for place in range(24))
    endless = f"SELECT 1 FROM {tables} WHERE {total} < 0"
    began = time.monotonic()
    with pytest.raises(sqlite3.OperationalError, match="interrupted"):
        connection.execute(endless).fetchall()
    assert time.monotonic() - began < 10
    connection.close()


def test_values_that_cannot_be_right_are_no_traceback(session):
    text = '{"text":1e999}'
    cells = (0, None, "note", text)
    connection = sqlite3.connect(session)
    connection.execute("INSERT INTO event VALUES (NULL, ?, ?, ?, ?, ?)", (*cells, row_check(*cells)))
    for broken in ("[" * 100_000, '{"a":NaN}', '{"b":1, "a":2}', "{", '"x"'):
        cells = (0, None, "note", broken)
        connection.execute("INSERT INTO event VALUES (NULL, ?, ?, ?, ?, ?)", (*cells, row_check(*cells)))
    connection.commit()
    connection.close()
    assert "6 of 9 entries of the log are damaged, left out." in open_session(session).damage


def run_in_own_mounts(script: str, folder: Path, setup: str) -> subprocess.CompletedProcess[str]:
    """Run Python inside mounts of its own; skip where the system forbids them."""
    probe = subprocess.run(["unshare", "-m", "true"], capture_output=True, check=False)
    if probe.returncode:
        pytest.skip("this system allows no mounts of one's own (unshare -m)")
    whole = f'set -e; mount -t tmpfs -o size=4m tmpfs "$1"; {setup}; exec "$2" -c "$3" "$1"'
    command = ["unshare", "-m", "sh", "-c", whole, "sh", str(folder), sys.executable, script]
    return subprocess.run(command, capture_output=True, text=True, check=False, cwd=Path(__file__).parents[2])


READ_ONLY = """
import os, sys
from pathlib import Path
from benchapp.sessions.opening import open_session
from benchapp.sessions.copying import save_copy
from benchapp.records.errors import DiskTrouble
from tests.sessions.session_builder import fill, new_writer, small_session
folder = Path(sys.argv[1])
small_session(folder / "closed.t2h", seconds=2)
writer = new_writer(folder / "dying.t2h")
fill(writer, seconds=2)
for ending in ("", "-wal"):
    (folder / ("open.t2h" + ending)).write_bytes((folder / ("dying.t2h" + ending)).read_bytes())
writer.abandon()
assert os.system(f"mount -o remount,ro {folder}") == 0
assert open_session(folder / "closed.t2h").damage == ()
session = open_session(folder / "open.t2h")
assert session.kept == "was stopped early; 4 of 4 blocks good", session.kept
assert session.edges(1, 0).count > 100
for act in (lambda: new_writer(folder / "new.t2h"), lambda: save_copy(folder / "closed.t2h", folder / "new.t2h")):
    try:
        act()
    except DiskTrouble as error:
        print(error.message)
"""


def test_a_folder_that_cannot_be_written_opens_for_reading(tmp_path):
    (tmp_path / "disk").mkdir()
    done = run_in_own_mounts(READ_ONLY, tmp_path / "disk", "true")
    assert done.returncode == 0, done.stderr
    assert done.stdout.count("Cannot write beside new.t2h: Read-only file system.") == 2


FULL = """
import sys
from pathlib import Path
from benchapp.sessions.opening import open_session
from benchapp.records.errors import DiskTrouble
from tests.sessions.session_builder import OUTPUT, edges, new_writer, stretch
import numpy as np
folder = Path(sys.argv[1])
writer = new_writer(folder / "a.t2h")
writer.add_stretch(stretch())
random = np.random.default_rng(1)
at, acknowledged = 0, 0
try:
    for _ in range(2000):
        times = at + np.sort(random.integers(0, 10**9, 5000))
        at += 10**9
        writer.add_record(1, edges(OUTPUT, times))
        acknowledged = writer.commit()
except DiskTrouble as error:
    print(error.message)
    assert error.kept and error.status == 3
    try:
        writer.commit()
    except DiskTrouble as again:
        assert again is error
writer.abandon()
session = open_session(folder / "a.t2h")
assert acknowledged > 5000
assert session.damage == ()
assert session.edges(1, OUTPUT).count == acknowledged, (session.edges(1, OUTPUT).count, acknowledged)
print(session.kept)
"""


def test_a_full_disk_stops_the_writer_and_keeps_all_that_was_acknowledged(tmp_path):
    (tmp_path / "disk").mkdir()
    done = run_in_own_mounts(FULL, tmp_path / "disk", "true")
    assert done.returncode == 0, done.stderr
    assert "The disk is full: no room to go on writing a.t2h. Make at least" in done.stdout
    assert "records." in done.stdout
    assert "was stopped early;" in done.stdout


def test_a_writer_killed_while_it_begins_leaves_no_half_made_session(tmp_path, monkeypatch):
    def killed(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr("benchapp.sessions.beginning.put_head", killed)
    with pytest.raises(KeyboardInterrupt):
        new_writer(tmp_path / "a.t2h")
    assert list(tmp_path.iterdir()) == []


FULL_FOR_READING = """
import sys
from pathlib import Path
from benchapp.sessions.opening import open_session
from tests.sessions.session_builder import fill, new_writer
folder = Path(sys.argv[1])
writer = new_writer(folder / "dying.t2h")
fill(writer, seconds=2)
for ending in ("", "-wal"):
    (folder / ("open.t2h" + ending)).write_bytes((folder / ("dying.t2h" + ending)).read_bytes())
writer.abandon()
try:
    with (folder / "ballast").open("wb") as ballast:
        while True:
            ballast.write(bytes(4096))
            ballast.flush()
except OSError:
    pass
session = open_session(folder / "open.t2h")
assert session.damage == (), session.damage
print(session.kept)
"""


def test_an_intact_session_on_a_full_disk_is_not_called_damaged(tmp_path):
    (tmp_path / "disk").mkdir()
    done = run_in_own_mounts(FULL_FOR_READING, tmp_path / "disk", "true")
    assert done.returncode == 0, done.stderr
    assert done.stdout == "was stopped early; 4 of 4 blocks good\n"


@pytest.mark.parametrize("name", ["SQLITE_IOERR_READ", "SQLITE_FULL", "SQLITE_IOERR_SHMSIZE", "SQLITE_CANTOPEN"])
def test_a_disk_that_fails_while_it_is_read_is_called_that(session, monkeypatch, name):
    def fail(*_: object, **__: object) -> None:
        error = sqlite3.OperationalError("disk I/O error CREATE TABLE session")
        error.sqlite_errorname = name
        raise error

    monkeypatch.setattr("benchapp.sessions.reading._read", fail)
    with pytest.raises(DiskTrouble) as caught:
        open_session(session)
    assert str(session.parent) in caught.value.message
    assert "CREATE" not in caught.value.message
    assert "damaged" not in caught.value.message
