"""Spoilt rows of a session file, each with the check that fits it: as somebody would write who means harm."""

import json
import random
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import numpy as np

from benchapp.records.events import EventKind
from benchapp.records.run import Origin
from benchapp.records.stream import Gap
from benchapp.sessions.blocks import NO_LEAD, Block, BlockKind, Place, pack_gaps, row_check
from benchapp.sessions.packing import pack_series
from benchapp.sessions.rows import put_block
from tests.campaigns.fuzzers.mutations import NUMBERS, TEXTS, json_text, spoilt_tree

I64 = 1 << 63
WHOLE = tuple(number for number in NUMBERS if isinstance(number, int) and -I64 <= number < I64)
_EVENTS = "INSERT INTO event VALUES (?, ?, ?, ?, ?, ?)"


def spoil_rows(path: Path, chance: random.Random) -> None:
    """Change one to five rows of a closed session, check and all; mostly it is then one that was not closed."""
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("BEGIN")
        for _ in range(chance.randrange(1, 6)):
            chance.choice(_CHANGES)(connection, chance)
        _spoil_head(connection, chance)
        connection.execute("COMMIT")


def _one_of(connection: sqlite3.Connection, table: str, chance: random.Random) -> Any:
    """Return a row of a table, None where it has none."""
    rows = connection.execute(f"SELECT * FROM {table}").fetchall()
    return chance.choice(rows) if rows else None


def _text(text: str) -> str:
    return text.encode("utf-8", "replace").decode()


def _tree(text: str) -> object:
    """Return what a row's text holds; nothing where it was made unreadable before."""
    try:
        return json.loads(text)
    except (ValueError, RecursionError):
        return {}


def _spoil_head(connection: sqlite3.Connection, chance: random.Random) -> None:
    name, started, origin, software, code = connection.execute(
        "SELECT name, started, origin, software, evidence_hash FROM session"
    ).fetchone()
    if chance.random() < 0.1:
        name = _text(chance.choice(TEXTS))
    if chance.random() < 0.1:
        started = _text(chance.choice((*TEXTS, "0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59.999999-23:59")))
    if chance.random() < 0.1:
        origin = chance.choice((*Origin, "moon"))
    if chance.random() < 0.1:
        software = _text(chance.choice((*TEXTS, "benchapp 0.1.0, reduction " + "9" * 5_000, "x, reduction -1")))
    if chance.random() < 0.8:
        code = None
    cells = (name, started, str(origin), software, code)
    connection.execute("DELETE FROM session")
    connection.execute("INSERT INTO session VALUES (1, ?, ?, ?, ?, ?, ?)", (*cells, row_check(*cells)))


def _spoil_stretch(connection: sqlite3.Connection, chance: random.Random) -> None:
    row = _one_of(connection, "stretch", chance)
    if row is None:
        return
    number, start_id, tick, at_ns, hz, text = row[:6]
    text = json_text(spoilt_tree(_tree(text), chance, 0.02), chance)
    if chance.random() < 0.3:
        tick = chance.choice(WHOLE)
    if chance.random() < 0.3:
        at_ns = chance.choice(WHOLE)
    try:
        told = json.loads(text)["board"]
        hz, start_id = (
            value if type(value) is int and abs(value) < I64 else 1 for value in (told["tick_hz"], told["start_id"])
        )
    except (ValueError, KeyError, TypeError, RecursionError):
        pass  # it says nothing that the other cells could agree with
    if chance.random() < 0.2:
        number = chance.choice(WHOLE)
    cells = (number, start_id, tick, at_ns, hz, _text(text))
    connection.execute("DELETE FROM stretch WHERE number IN (?, ?)", (row[0], number))
    connection.execute("INSERT INTO stretch VALUES (?, ?, ?, ?, ?, ?, ?)", (*cells, row_check(*cells)))


def _spoil_event(connection: sqlite3.Connection, chance: random.Random) -> None:
    row = _one_of(connection, "event", chance)
    if row is None:
        return
    number, at_ns, run, kind, text = row[:5]
    text = json_text(spoilt_tree(_tree(text), chance), chance)
    if chance.random() < 0.2:
        at_ns = chance.choice(WHOLE)
    if chance.random() < 0.1:
        run = chance.choice((None, *WHOLE))
    if chance.random() < 0.2:
        kind = str(chance.choice((*EventKind, "moon")))
    if chance.random() < 0.6:
        connection.execute("DELETE FROM event WHERE id = ?", (number,))
    else:
        number = None  # the one it came from stays
    cells = (at_ns, run, kind, _text(text))
    connection.execute(_EVENTS, (number, *cells, row_check(*cells)))


def _lose(connection: sqlite3.Connection, chance: random.Random) -> None:
    table = chance.choice(("event", "block"))
    row = _one_of(connection, table, chance)
    if row is not None:
        connection.execute(f"DELETE FROM {table} WHERE id = ?", (row[0],))


def _double(connection: sqlite3.Connection, _chance: random.Random) -> None:
    """Give the log its own first half once more."""
    for row in connection.execute("SELECT * FROM event ORDER BY id LIMIT 20").fetchall():
        connection.execute(_EVENTS, (None, *row[1:]))


def _move_block(connection: sqlite3.Connection, chance: random.Random) -> None:
    """Say of a block that it is another lead's, another stretch's, or another one in its row."""
    row = _one_of(connection, "block", chance)
    if row is None:
        return
    cells = list(row[1:9])
    place = chance.choice((0, 1, 2, 3, 4, 5, 6))
    cells[place] = chance.choice(tuple(BlockKind)).value if place == 1 else chance.choice((0, 1, 2, 3, *WHOLE))
    connection.execute("DELETE FROM block WHERE id = ?", (row[0],))
    connection.execute(
        "INSERT INTO block VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", (row[0], *cells, row_check(*cells), row[10])
    )


def _new_block(connection: sqlite3.Connection, chance: random.Random) -> None:
    """Put a block of hostile stamps in the place of one, well packed and checked."""
    row = _one_of(connection, "block WHERE kind != 'gaps'", chance)
    if row is None:
        return
    place = Place(stretch=row[1], kind=BlockKind(row[2]), lead=row[3])
    times = _stamps(chance, row[5], row[6])
    values = np.frombuffer(chance.randbytes(8 * times.size), "<i8")
    kinds = {BlockKind.EDGES: "u1", BlockKind.LEVELS: chance.choice(("u2", "f8"))}
    kind = kinds.get(place.kind, "i8")
    values = values.astype(np.uint8) & 0x81 if kind == "u1" else values.view(kind)[: times.size]
    data = pack_series(times, values, tick_hz=0)
    block = Block(
        place=place, number=row[4], first_ns=int(times[0]), last_ns=int(times[-1]), count=times.size, data=data
    )
    connection.execute("DELETE FROM block WHERE id = ?", (row[0],))
    put_block(connection, row[0], block)


def _stamps(chance: random.Random, first_ns: int, last_ns: int) -> np.ndarray:
    count = chance.choice((1, 2, 100, 8_192))
    match chance.randrange(4):
        case 0:
            times = [chance.choice(WHOLE) for _ in range(min(count, 100))]
        case 1:
            times = [first_ns] * count
        case 2:
            times = [chance.randrange(first_ns, max(first_ns + 1, last_ns)) for _ in range(count)]
        case _:
            step = chance.choice((1, 62, 1_000_000, 1 << 40))
            times = [first_ns + step * number for number in range(count)]
    return np.sort(np.array([min(max(time, -I64), I64 - 1) for time in times], np.int64))


def _new_gaps(connection: sqlite3.Connection, chance: random.Random) -> None:
    whole = (-1, 0, 1, 2, 10**9, *WHOLE)
    gaps = [
        Gap(
            leads=tuple(chance.choice(whole) for _ in range(chance.randrange(4))),
            from_ns=chance.choice(whole),
            to_ns=chance.choice(whole),
            cause=chance.choice(("lost-block", "restart", "damaged frame", _text(chance.choice(TEXTS)))),
            count=chance.choice((None, *whole)),
        )
        for _ in range(chance.choice((1, 3, 200)))
    ]
    row = connection.execute("SELECT COALESCE(MAX(id), 0) + 1, COUNT(*) FROM block").fetchone()
    number = connection.execute("SELECT COUNT(*) FROM block WHERE kind = 'gaps' AND stretch = 1").fetchone()[0]
    if row[0] < I64 - 1:
        put_block(connection, row[0], pack_gaps(Place(stretch=1, kind=BlockKind.GAPS, lead=NO_LEAD), number, gaps))


_CHANGES: tuple[Callable[[sqlite3.Connection, random.Random], None], ...] = (
    _spoil_stretch, _spoil_event, _spoil_event, _spoil_event, _lose, _double, _move_block, _new_block, _new_block,
    _new_gaps,
)  # fmt: skip
