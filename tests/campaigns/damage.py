"""Damaged copies of sessions, closed and not closed: refused, or what is lost is said; never a silently wrong number.

python -m tests.campaigns.damage --copies 10000 [--seed 1]
"""

import argparse
import random
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from benchapp.records.errors import BenchError
from benchapp.sessions.opening import SessionReader, open_session
from tests.campaigns.telling import Tally, tell
from tests.sessions.session_builder import OUTPUT, STICK, SWITCH, edges, new_writer, samples, start, stop, stretch

S = 1_000_000_000
SECONDS = 60
PARTS = ("", "-wal", ".lock")
Files = dict[str, bytes]


@dataclass(frozen=True, kw_only=True, slots=True)
class Whole:
    """A session before it is damaged: its files, its code, and its stamps by lead."""

    files: Files
    code: str
    stamps: dict[int, np.ndarray]


def make_whole(folder: Path, *, closed: bool, note: bool = True) -> Whole:
    """Return a session with blocks of several pages and two generations of its second file."""
    path = folder / "whole.t2h"
    chance = np.random.default_rng(3)
    writer = new_writer(path)
    writer.add_stretch(stretch())
    writer.add_event(start(at_ns=0))
    for second in range(SECONDS):
        writer.add_record(1, edges(OUTPUT, np.sort(chance.integers(second * S, (second + 1) * S, 200))))
        writer.add_record(1, samples(second * S, 200, step_ns=S // 200))
        writer.add_record(1, edges(SWITCH, [second * S + 5], first_level=second & 1))
        if second == SECONDS * 2 // 3:
            writer._connection.execute("PRAGMA wal_checkpoint(RESTART)").fetchall()
        writer.commit()
    if closed:
        writer.add_event(stop(at_ns=SECONDS * S))
        writer.close()
    parts = PARTS if note else PARTS[:2]
    files = {
        part: (folder / f"whole.t2h{part}").read_bytes() for part in parts if (folder / f"whole.t2h{part}").exists()
    }
    writer.abandon()
    put(files, path)
    session = open_session(path)
    assert session.damage == ()
    whole = Whole(files=files, code=session.evidence_hash, stamps=stamps_of(session))
    for part in folder.iterdir():
        part.unlink()
    return whole


def stamps_of(session: SessionReader) -> dict[int, np.ndarray]:
    """Return the stamps of every lead."""
    if not session.stretches:
        return {lead: np.empty(0, dtype=np.int64) for lead in (OUTPUT, SWITCH, STICK)}
    found = {lead: session.edges(1, lead).times_ns for lead in (OUTPUT, SWITCH)}
    return {**found, STICK: session.levels(1, STICK).times_ns}


def put(files: Files, path: Path) -> None:
    """Write a session's files, and take away what SQLite left there before."""
    for ending in (*PARTS, "-shm", "-journal"):
        part = path.with_name(path.name + ending)
        part.unlink(missing_ok=True)
        if ending in files:
            part.write_bytes(files[ending])


def _bit(data: bytearray, chance: random.Random) -> None:
    data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)


def _bits(data: bytearray, chance: random.Random) -> None:
    for _ in range(chance.randrange(2, 9)):
        _bit(data, chance)


def _sector(data: bytearray, chance: random.Random) -> None:
    place = chance.randrange(max(1, len(data) // 512)) * 512
    data[place : place + 512] = chance.choice((bytes(512), b"\xff" * 512, chance.randbytes(512)))[: len(data) - place]


def _moved(data: bytearray, chance: random.Random) -> None:
    """One page in the place of another, as after a write that went astray."""
    size = 2048
    if len(data) < 3 * size:
        return _bits(data, chance)
    one, other = (chance.randrange(len(data) // size) * size for _ in range(2))
    data[one : one + size] = data[other : other + size][: len(data[one : one + size])]
    return None


def _cut(data: bytearray, chance: random.Random) -> None:
    del data[chance.randrange(len(data)) :]


KINDS: dict[str, Callable[[bytearray, random.Random], None]] = {
    "bit": _bit,
    "bits": _bits,
    "sector": _sector,
    "moved page": _moved,
    "cut": _cut,
}


def damaged(whole: Whole, chance: random.Random) -> tuple[str, Files]:
    """Return what was done, and the files with it done to one of them."""
    files = dict(whole.files)
    part = chance.choice([ending for ending in files if ending != ".lock"])
    if part == "-wal" and chance.random() < 0.1:
        del files[part]
        return "second file gone", files
    kind = chance.choice(list(KINDS))
    data = bytearray(files[part])
    KINDS[kind](data, chance)
    files[part] = bytes(data)
    return f"{kind} of {'the file' if not part else 'the second file'}", files


def judge(path: Path, whole: Whole) -> str:
    """Return "refused", "found" or "of no effect"; raise where a number is wrong and nothing says so."""
    try:
        session = open_session(path)
        runs, stamps = session.runs(), stamps_of(session)
    except BenchError as refusal:
        refused = refusal.message
    else:
        refused = ""
    if refused:
        assert "sqlite" not in refused.lower(), refused
        assert "None" not in refused, refused
        return "refused"
    if session.damage:
        assert all(run.damaged for run in runs)
        for lead, times in stamps.items():
            assert np.isin(times, whole.stamps[lead]).all(), f"lead {lead} has stamps that never were"
        return "found"
    assert session.evidence_hash == whole.code, f"nothing is said, and {session.kept or 'it is called whole'}"
    return "of no effect"


def damage_copies(count: int, chance: random.Random, folder: Path, tally: Tally) -> None:
    """Damage copies of a closed session and of one that was not closed, in turn."""
    wholes = [make_whole(folder, closed=closed) for closed in (True, False)]
    path = folder / "a.t2h"
    for number in range(count):
        whole = wholes[number % 2]
        what, files = damaged(whole, chance)
        if files == whole.files:
            continue
        put(files, path)
        with tally.counted(f"{number}: {'closed' if number % 2 == 0 else 'not closed'}, {what}"):
            tally.note(judge(path, whole))


def main(words: Iterator[str] | None = None) -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--copies", type=int, default=10_000)
    asked.add_argument("--seed", type=int, default=1)
    told = asked.parse_args(None if words is None else list(words))
    tally, begun = Tally(), time.monotonic()
    with suppress(KeyboardInterrupt), tempfile.TemporaryDirectory(prefix="damage-") as folder:
        damage_copies(told.copies, random.Random(told.seed), Path(folder), tally)
    return tell("damage", tally, time.monotonic() - begun)


if __name__ == "__main__":
    sys.exit(main())
