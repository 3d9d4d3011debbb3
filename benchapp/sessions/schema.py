"""The tables of a session file, its marks, and whether a file has exactly them.

Every row carries a CRC-32 over the cells before it (blocks.row_check over them in the order of the columns, an id
left out): SQLite itself does not notice a flipped bit. A block's data have a CRC-32 of their own, so that a block with
damaged data still says whose it is and when it was.

  session  one row: what the file says of itself; evidence_hash stays NULL until the session is closed
  stretch  one span of a probe's clock, with the descriptors of its board and leads
  block    append-only evidence; only the last block of a place may be replaced, by one that begins with the same
           records; number counts from 0 along (stretch, kind, lead)
  event    append-only log, in order of id
"""

import sqlite3

APPLICATION_ID = 0x54326831
"""The application id, at offset 68 of the file: "T2h1"."""
VERSION = 1
"""The version this program writes, in user_version."""

_PAGE_BYTES = 2048  # a block ends somewhere in a page: 4096 wasted 19 % beside blocks of 10 kB, 2048 wastes 8 %
_TABLES = {
    "session": """CREATE TABLE session (
  id INTEGER PRIMARY KEY CHECK (id = 1),
  name TEXT NOT NULL,
  started TEXT,
  origin TEXT NOT NULL,
  software TEXT NOT NULL,
  evidence_hash TEXT,
  crc INTEGER NOT NULL
) STRICT""",
    "stretch": """CREATE TABLE stretch (
  number INTEGER PRIMARY KEY,
  start_id INTEGER NOT NULL,
  origin_tick INTEGER NOT NULL,
  origin_ns INTEGER NOT NULL,
  tick_hz INTEGER NOT NULL,
  descriptors TEXT NOT NULL,
  crc INTEGER NOT NULL
) STRICT""",
    "block": """CREATE TABLE block (
  id INTEGER PRIMARY KEY,
  stretch INTEGER NOT NULL,
  kind TEXT NOT NULL,
  lead INTEGER NOT NULL,
  number INTEGER NOT NULL,
  first_ns INTEGER NOT NULL,
  last_ns INTEGER NOT NULL,
  count INTEGER NOT NULL,
  data_crc INTEGER NOT NULL,
  crc INTEGER NOT NULL,
  data BLOB NOT NULL
) STRICT""",
    "event": """CREATE TABLE event (
  id INTEGER PRIMARY KEY,
  at_ns INTEGER NOT NULL,
  run INTEGER,
  kind TEXT NOT NULL,
  detail TEXT NOT NULL,
  crc INTEGER NOT NULL
) STRICT""",
}
TABLES = frozenset(_TABLES)


def create_tables(connection: sqlite3.Connection) -> None:
    """Make an empty database a session file: its marks and its tables, in one transaction."""
    connection.execute(f"PRAGMA page_size = {_PAGE_BYTES}")
    connection.execute("BEGIN IMMEDIATE")
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    for statement in _TABLES.values():
        connection.execute(statement)
    connection.execute(f"PRAGMA user_version = {VERSION}")
    connection.execute("COMMIT")


def stray_objects(connection: sqlite3.Connection) -> list[str]:
    """Return what the file's schema has too much, too little or otherwise, a few words each; empty when it is exact."""
    wanted = {("table", name, name, statement) for name, statement in _TABLES.items()}
    rows = connection.execute("SELECT type, name, tbl_name, sql FROM sqlite_schema").fetchmany(len(wanted) + 8)
    found = set(rows)
    known = ("table", "index", "view", "trigger")
    strays = [f"a {kind if kind in known else 'thing'} that no session has" for kind, _, _, _ in found - wanted]
    strays += [f"no table {name} as a session has it" for _, name, _, _ in sorted(wanted - found)]
    return strays
