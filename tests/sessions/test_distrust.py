"""What a hostile session could make SQLite do is switched off, whatever the library was built to do by itself.

Each is seen by what happens, with the guard that would refuse it first (the authorizer) taken away.
"""

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from benchapp.sessions import connecting
from benchapp.sessions.connecting import connect_untrusting

PAGE = 4096
MAPPED = 1 << 28
CONNECT = sqlite3.connect


@pytest.fixture
def trusting(monkeypatch: pytest.MonkeyPatch) -> None:
    """A library that was built to trust: it maps files, believes schemas and looks at no cell before it is wanted."""

    def connect_trusting(*words: object, **options: object) -> sqlite3.Connection:
        connection = CONNECT(*words, **options)
        for pragma in (f"mmap_size = {MAPPED}", "trusted_schema = ON", "cell_size_check = OFF"):
            connection.execute(f"PRAGMA {pragma}")
        return connection

    monkeypatch.setattr(connecting.sqlite3, "connect", connect_trusting)


@pytest.fixture
def made(tmp_path: Path) -> Iterator[sqlite3.Connection]:
    """A database of a page's size that is known, written by somebody else."""
    connection = CONNECT(tmp_path / "a.t2h")
    connection.execute(f"PRAGMA page_size = {PAGE}")
    yield connection
    connection.close()


def unguarded(path: Path) -> sqlite3.Connection:
    connection = connect_untrusting(path, mode="ro", immutable=True, limit_s=60)
    connection.set_authorizer(None)
    return connection


@pytest.mark.usefixtures("trusting")
def test_a_function_in_a_schema_is_not_called(made: sqlite3.Connection, tmp_path: Path) -> None:
    made.create_function("told", 1, lambda value: value, deterministic=True)
    made.execute("CREATE TABLE event (id INTEGER PRIMARY KEY, detail AS (told(id)))")
    made.execute("INSERT INTO event VALUES (1)")
    made.commit()
    called = []
    reading = unguarded(tmp_path / "a.t2h")
    reading.create_function("told", 1, called.append, deterministic=True)
    assert reading.execute("SELECT told(7)").fetchall() == [(None,)]
    with pytest.raises(sqlite3.DatabaseError, match="unsafe use of told"):
        reading.execute("SELECT detail FROM event").fetchall()
    assert called == [7]
    reading.close()


@pytest.mark.usefixtures("trusting")
def test_a_page_is_checked_before_a_row_of_it_is_believed(made: sqlite3.Connection, tmp_path: Path) -> None:
    made.execute("CREATE TABLE block (id INTEGER PRIMARY KEY, data)")
    made.executemany("INSERT INTO block VALUES (?, ?)", [(1, "first"), (2, "second"), (3, "third")])
    made.commit()
    (root,) = made.execute("SELECT rootpage FROM sqlite_schema").fetchone()
    path = tmp_path / "a.t2h"
    data = bytearray(path.read_bytes())
    # A leaf of a table: an 8-byte head, then 2 bytes a cell, its place on the page (SQLite, Database File Format, 1.6,
    # from memory). The third cell is put into the end of the first one's text, where it
    # reads as one that reaches beyond the page.
    third = (root - 1) * PAGE + 8 + 2 * 2
    data[third : third + 2] = (PAGE - 4).to_bytes(2, "big")
    path.write_bytes(data)
    plain = CONNECT(path)
    first = "SELECT data FROM block WHERE id = 1"
    assert plain.execute(first).fetchall() == [("first",)]
    plain.close()
    reading = unguarded(path)
    with pytest.raises(sqlite3.DatabaseError, match="malformed"):
        reading.execute(first).fetchall()
    reading.close()


@pytest.mark.usefixtures("trusting")
@pytest.mark.skipif(not Path("/proc/self/maps").exists(), reason="only Linux lists what a process has mapped")
def test_a_file_is_never_mapped_so_that_one_cut_short_meanwhile_ends_nothing(
    made: sqlite3.Connection, tmp_path: Path
) -> None:
    made.execute("CREATE TABLE block (id INTEGER PRIMARY KEY, data)")
    made.executemany("INSERT INTO block VALUES (?, ?)", [(number, "x" * 1000) for number in range(1000)])
    made.commit()
    path = tmp_path / "a.t2h"

    def mapped(connection: sqlite3.Connection) -> bool:
        rows = connection.execute("SELECT data FROM block")
        rows.fetchone()
        found = str(path) in Path("/proc/self/maps").read_text(encoding="utf-8")
        rows.close()
        return found

    trusting = connecting.sqlite3.connect(path)
    assert mapped(trusting)
    trusting.close()
    reading = unguarded(path)
    assert not mapped(reading)
    reading.close()
