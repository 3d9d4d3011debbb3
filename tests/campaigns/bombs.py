"""Small session files that hold more than any writer would put there: each is well formed, checked and hashed.

Every builder takes a path and about how many bytes the file may have, and returns nothing. The rows are written past
the writer, whose own limits would refuse them.
"""

import sqlite3
import struct
import zlib
from collections.abc import Callable, Iterator
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike

from benchapp.records.events import Event
from benchapp.records.run import PickUp
from benchapp.records.stream import Edges
from benchapp.sessions.blocks import NO_LEAD, Block, BlockKind, Place
from benchapp.sessions.packing import pack_series
from benchapp.sessions.rows import put_block, put_event
from benchapp.sessions.runs import run_start_event
from tests.sessions.session_builder import OUTPUT, STICK, SWITCH, new_writer, start, stop, stretch

S = 1_000_000_000
_FIRST = 1 + 8
"""Where the first number of the first column stands in a packed series."""


def _session(path: Path, blocks: Iterator[Block], events: Iterator[Event]) -> None:
    """Write a session that was not closed, with these rows in it."""
    writer = new_writer(path)
    writer.add_stretch(stretch())
    writer.commit()
    writer.close()
    connection = sqlite3.connect(path, isolation_level=None)
    try:
        connection.execute("BEGIN")
        for row, block in enumerate(blocks, start=1):
            put_block(connection, row, block)
        for event in events:
            put_event(connection, event)
        connection.execute("COMMIT")
    finally:
        connection.close()


def regular_edges(lead: int, count: int) -> Edges:
    """Return perfectly regular pulses after 10 s, as the writer takes them."""
    steps = np.arange(count, dtype=np.int64)
    times = 10 * S + steps // 2 * 2_000_000 + steps % 2 * 1_000_000
    levels = (steps & 1).astype(np.uint8)
    return Edges(lead=lead, times_ns=times, levels=levels, flags=np.zeros(count, dtype=np.uint8))


def switch_edges(seconds: int) -> Edges:
    """Return a flip a second."""
    times = np.arange(seconds, dtype=np.int64) * S + S // 2
    levels = (np.arange(seconds) & 1).astype(np.uint8)
    return Edges(lead=SWITCH, times_ns=times, levels=levels, flags=np.zeros(seconds, dtype=np.uint8))


def _run(stop_ns: int, test: str = "switch-flip") -> Iterator[Event]:
    roles = {OUTPUT: "output", SWITCH: "switch", STICK: "stick"}
    yield run_start_event(run=1, at_ns=0, test=test, roles=roles, pick_up=PickUp.CONTACT, stretch=1)
    yield stop(at_ns=stop_ns)


def edge_block(lead: int, number: int, times: ArrayLike) -> Block:
    """Return a block of edges, however many and however far apart."""
    times_ns = np.asarray(times, dtype=np.int64)
    states = (np.arange(times_ns.size) & 1).astype(np.uint8)
    return _block(BlockKind.EDGES, lead, number, times_ns, states)


def _block(kind: BlockKind, lead: int, number: int, times_ns: np.ndarray, values: np.ndarray) -> Block:
    begin = int(times_ns[0])
    packed = _packed((times_ns - begin).tobytes(), values.tobytes(), values.dtype.str)
    return Block(
        place=Place(stretch=1, kind=kind, lead=lead),
        number=number,
        first_ns=begin,
        last_ns=int(times_ns[-1]),
        count=times_ns.size,
        # of a series that begins later, only the first number of its first column is another
        data=packed[:_FIRST] + struct.pack("<q", begin) + packed[_FIRST + 8 :],
    )


@lru_cache(maxsize=8)
def _packed(times: bytes, values: bytes, kind: str) -> bytes:
    """Return a series that begins at 0, packed without a counter's grid."""
    return pack_series(np.frombuffer(times, np.int64), np.frombuffer(values, kind), tick_hz=0)


def _repeated(path: Path, size: int, make: Callable[[int], list[Block]], *, test: str = "switch-flip") -> None:
    """Write as many of the blocks that make(number) returns as go into a file of that size."""
    each = sum(len(block.data) + 48 for block in make(1))
    count = max(1, size // each)
    last_ns = max(block.last_ns for block in make(count - 1))
    _session(path, (block for number in range(count) for block in make(number)), _run(last_ns, test))


def overfull_block(number: int) -> Block:
    """Return 65,536 edges at one stamp, eight times what a writer puts into a block."""
    return edge_block(OUTPUT, number, np.full(65_536, number * S))


def overfull_blocks(path: Path, size: int) -> None:
    """Blocks of 65,536 edges each."""
    _repeated(path, size, lambda number: [overfull_block(number)])


def edges_at_one_stamp(path: Path, size: int) -> None:
    """Full blocks of 8,192 edges that all lie at one stamp."""
    _repeated(path, size, lambda number: [edge_block(OUTPUT, number, np.full(8_192, number * S))])


def endless_pulses(path: Path, size: int) -> None:
    """Full blocks of perfectly regular servo pulses, 2 ms apart."""
    steps = np.arange(8_192, dtype=np.int64)
    times = steps // 2 * 2_000_000 + steps % 2 * 1_000_000
    _repeated(path, size, lambda number: [edge_block(OUTPUT, number, times + number * 8_192_000_000)])


def endless_flips(path: Path, size: int) -> None:
    """A switch that is thrown every 25 ms, for days, and an output that pulses beside it."""
    flips = np.arange(1_200, dtype=np.int64) * 25_000_000
    steps = np.arange(2_400, dtype=np.int64)
    pulses = steps // 2 * 25_000_000 + steps % 2 * 1_500_000
    _repeated(
        path,
        size,
        lambda number: [
            edge_block(SWITCH, number, flips + number * 30 * S),
            edge_block(OUTPUT, number, pulses + number * 30 * S),
        ],
    )


def endless_strokes(path: Path, size: int, *, test: str = "stick-sweep") -> None:
    """A stick that swings from end to end every few samples, for hours, and an output that pulses beside it."""
    times = np.arange(8_192, dtype=np.int64) * 3_000_000
    swing = (np.abs(np.arange(8_192) % 8 - 4) * 250).astype(np.uint16)
    steps = np.arange(2_048, dtype=np.int64)
    pulses = steps // 2 * 24_000_000 + steps % 2 * 1_500_000

    def blocks(number: int) -> list[Block]:
        later_ns = number * 8_192 * 3_000_000
        return [
            _block(BlockKind.LEVELS, STICK, number, times + later_ns, swing),
            edge_block(OUTPUT, number, pulses + later_ns),
        ]

    _repeated(path, size, blocks, test=test)


def endless_gaps(path: Path, size: int, *, a_block: int = 1_024) -> None:
    """Blocks of gaps that all read alike, each packed to almost nothing."""
    line = f'[0,1,[{SWITCH}],"damaged frame",3]\n'.encode() * a_block
    stream = zlib.compressobj(9, wbits=-15)
    data = len(line).to_bytes(4, "little") + stream.compress(line) + stream.flush()
    place = Place(stretch=1, kind=BlockKind.GAPS, lead=NO_LEAD)
    count = max(1, size // (len(data) + 48))
    blocks = (
        Block(place=place, number=number, first_ns=0, last_ns=1, count=a_block, data=data) for number in range(count)
    )
    _session(path, blocks, _run(S))


def many_runs(path: Path, size: int, *, apart: bool = False) -> None:
    """Runs, one after another or all over the same minute, each as long as a file of that size allows."""
    count = max(1, size // 380)
    pulses = np.arange(2 * 2_400, dtype=np.int64)
    times = pulses // 2 * 25_000_000 + pulses % 2 * 1_500_000
    flips = np.arange(60, dtype=np.int64) * S + S // 2
    blocks = [edge_block(OUTPUT, 0, times[:2_400]), edge_block(OUTPUT, 1, times[2_400:])]
    blocks += [edge_block(SWITCH, 0, flips[:30]), edge_block(SWITCH, 1, flips[30:])]
    span = 60 * S // count if apart else 0

    def events() -> Iterator[Event]:
        for run in range(1, count + 1):
            yield start(run, at_ns=(run - 1) * span)
            yield stop(run, at_ns=run * span if apart else 60 * S)

    _session(path, iter(blocks), events())


BOMBS: dict[str, Callable[[Path, int], None]] = {
    "overfull blocks": overfull_blocks,
    "edges at one stamp": edges_at_one_stamp,
    "endless pulses": endless_pulses,
    "endless flips": endless_flips,
    "endless strokes": endless_strokes,
    "endless hold": lambda path, size: endless_strokes(path, size, test="hold-still"),
    "endless gaps": endless_gaps,
    "overfull gaps": lambda path, size: endless_gaps(path, size, a_block=120_000),
    "runs over one another": many_runs,
    "runs one after another": lambda path, size: many_runs(path, size, apart=True),
}
