"""The rows of a session file: each written with its check, in steps that happen wholly or not at all."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass

from benchapp.records.events import Event
from benchapp.records.leads import Stretch
from benchapp.sessions.blocks import Block, row_check
from benchapp.sessions.texts import detail_text


@dataclass(frozen=True, kw_only=True, slots=True)
class Head:
    """What a session file says of itself; evidence_hash is None until it is closed."""

    name: str
    started: str | None
    origin: str
    software: str
    evidence_hash: str | None = None

    @property
    def cells(self) -> tuple[str | None, ...]:
        """The cells of its row, in the order of the columns."""
        return self.name, self.started, self.origin, self.software, self.evidence_hash

    @property
    def check(self) -> int:
        """The check of its row as it was before the session was closed: by it a note beside a session is known."""
        return row_check(*self.cells[:4], None)


@contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """Make everything inside one step: wholly on the disk at the end, or not at all."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            with suppress(sqlite3.Error):
                connection.execute("ROLLBACK")
        raise


def put_head(connection: sqlite3.Connection, head: Head) -> None:
    """Write the row of what the file says of itself, in place of the one before."""
    row = (1, *head.cells, row_check(*head.cells))
    connection.execute("INSERT OR REPLACE INTO session VALUES (?, ?, ?, ?, ?, ?, ?)", row)


def put_stretch(connection: sqlite3.Connection, stretch: Stretch, descriptors: str) -> None:
    """Write a stretch's row with the text of its descriptors."""
    board = stretch.board
    cells = (
        int(stretch.number),
        int(board.start_id),
        int(stretch.origin_tick),
        int(stretch.origin_ns),
        int(board.tick_hz),
        descriptors,
    )
    connection.execute("INSERT INTO stretch VALUES (?, ?, ?, ?, ?, ?, ?)", (*cells, row_check(*cells)))


def put_block(connection: sqlite3.Connection, row: int, block: Block) -> None:
    """Write a block at a row, in place of a shorter one that stood there."""
    cells = (row, *block.cells, row_check(*block.cells), block.data)
    connection.execute("INSERT OR REPLACE INTO block VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", cells)


def put_event(connection: sqlite3.Connection, event: Event) -> None:
    """Write an event at the end of the log."""
    run = None if event.run is None else int(event.run)
    cells = (int(event.at_ns), run, event.kind.value, detail_text(event))
    connection.execute("INSERT INTO event VALUES (NULL, ?, ?, ?, ?, ?)", (*cells, row_check(*cells)))
