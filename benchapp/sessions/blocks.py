"""The blocks of a session: one lead's records of one kind, packed and checked.

The last block of a lead is replaced, inside the transaction of a commit, until it holds 8,192 records or spans 30 s:
so commits every quarter second stay small, and older blocks are never touched.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import cast
from zlib import compressobj, crc32

import numpy as np
from numpy.typing import NDArray

from benchapp.records.errors import WrongInput
from benchapp.records.stream import ClockPairs, Edges, Gap, Levels, Record, frozen_array
from benchapp.sessions.packing import BadBlock, Ints, Values, inflate, pack_series, unpack_series

MOST_IN_A_BLOCK = 8192
"""Records in a full block: large enough to pack well, small enough that a damaged one loses under half a second at
20,000 edges a second."""
LONGEST_BLOCK_NS = 30_000_000_000
"""A block of a slow lead spans at most this from its first stamp: what one damaged block can lose."""
NO_LEAD = -1
"""The lead of blocks that belong to none: clock pairs and gaps."""
MOST_GAPS_IN_A_BLOCK = 1024
"""Gaps of one block; each commit's gaps make a block of their own."""
MOST_GAP_TEXT = 1 << 22
"""Bytes of the lines of one block of gaps."""
_LAST_STAMP_NS = (1 << 63) - 1
_SEPARATOR = b"\x1f"
_ONE, _TWO = np.uint8(1), np.uint8(2)

Cell = int | str | bytes | None


class BlockKind(StrEnum):
    """The kind of records that a block holds."""

    EDGES = "edges"
    LEVELS = "levels"
    CLOCK = "clock"
    GAPS = "gaps"


@dataclass(frozen=True, kw_only=True, slots=True)
class Place:
    """Which stretch, kind of record and lead a block belongs to; it sorts in that order."""

    stretch: int
    kind: BlockKind
    lead: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Block:
    """One packed block. number counts from 0 along its place; first_ns and last_ns are its outermost stamps."""

    place: Place
    number: int
    first_ns: int
    last_ns: int
    count: int
    data: bytes

    @property
    def data_check(self) -> int:
        """The CRC-32 of the packed data."""
        return crc32(self.data)

    @property
    def cells(self) -> tuple[int | str, ...]:
        """The cells of its row in the order of the columns, without the last two: the row's own check and the data."""
        place = self.place
        head = (place.stretch, place.kind.value, place.lead)
        return (*head, self.number, self.first_ns, self.last_ns, self.count, self.data_check)


def row_check(*cells: Cell) -> int:
    """Return the CRC-32 of a row: each cell as decimal digits, UTF-8, its bytes or nothing, with 0x1F between cells."""
    total = 0
    for place, cell in enumerate(cells):
        if place:
            total = crc32(_SEPARATOR, total)
        if cell is not None:
            total = crc32(cell if isinstance(cell, bytes) else str(cell).encode("utf-8"), total)
    return total


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Series:
    """The records of one place in arrays: stamps [ns], and states, counts, volts or host stamps beside them."""

    times_ns: Ints
    values: Values

    def slice(self, start: int, stop: int) -> "Series":
        """Return the records from start up to stop."""
        return Series(times_ns=self.times_ns[start:stop], values=self.values[start:stop])


def states_of(edges: Edges) -> NDArray[np.uint8]:
    """Return the levels and flags of edges as one byte each: level | flags << 1."""
    if edges.count and (int(edges.levels.max()) > 1 or int(edges.flags.max()) > 0x7F):
        raise WrongInput(f"Lead {edges.lead}: wanted levels of 0 or 1 and flags below 128, got others.")
    states: NDArray[np.uint8] = np.bitwise_or(edges.levels, edges.flags * _TWO)
    return states


def series_of(record: Edges | Levels | ClockPairs) -> tuple[BlockKind, int, Series]:
    """Return a record's kind, its lead and its arrays."""
    if isinstance(record, Edges):
        return BlockKind.EDGES, record.lead, Series(times_ns=record.times_ns, values=states_of(record))
    if isinstance(record, Levels):
        return BlockKind.LEVELS, record.lead, Series(times_ns=record.times_ns, values=record.values)
    return BlockKind.CLOCK, NO_LEAD, Series(times_ns=record.probe_ns, values=record.host_ns)


def record_of(place: Place, series: Series) -> Record:
    """Return a series as the record it was stored from."""
    times = frozen_array(series.times_ns)
    if place.kind is BlockKind.LEVELS:
        values = cast("NDArray[np.uint16]", series.values)
        return Levels(lead=place.lead, times_ns=times, values=frozen_array(values))
    if place.kind is BlockKind.CLOCK:
        return ClockPairs(probe_ns=times, host_ns=frozen_array(cast("Ints", series.values)))
    states = cast("NDArray[np.uint8]", series.values)
    levels, flags = frozen_array(states & _ONE), frozen_array(states // _TWO)
    return Edges(lead=place.lead, times_ns=times, levels=levels, flags=flags)


def joined(parts: Sequence[Series]) -> Series:
    """Return the parts as one series, in their order; at least one part."""
    if len(parts) == 1:
        return parts[0]
    values = np.concatenate([part.values for part in parts])
    return Series(times_ns=np.concatenate([part.times_ns for part in parts]), values=cast("Values", values))


def block_ends(times_ns: Ints) -> list[int]:
    """Return the index after the last record of each block; the last block may still grow.

    A block ends when it is full or when the next stamp lies too far from its first: where blocks end depends on the
    records alone, never on when they were written.
    """
    ends, start = [], 0
    while start < times_ns.size:
        last_ns = min(int(times_ns[start]) + LONGEST_BLOCK_NS, _LAST_STAMP_NS)
        late = int(np.searchsorted(times_ns[start : start + MOST_IN_A_BLOCK], last_ns, side="right"))
        start += max(late, 1)
        ends.append(start)
    return ends


def pack_block(place: Place, number: int, series: Series, *, tick_hz: int) -> Block:
    """Return a series of 1 to MOST_IN_A_BLOCK records as a block."""
    return Block(
        place=place,
        number=number,
        first_ns=int(series.times_ns[0]),
        last_ns=int(series.times_ns[-1]),
        count=series.times_ns.size,
        data=pack_series(series.times_ns, series.values, tick_hz=tick_hz),
    )


_KIND_TYPES = {
    BlockKind.EDGES: ("uint8",),
    BlockKind.LEVELS: ("uint16", "float64"),
    BlockKind.CLOCK: ("int64",),
}


def unpack_block(block: Block) -> Series:
    """Return what a block of edges, samples or clock pairs holds. Raises BadBlock when it contradicts its header.

    It holds no more than a writer puts into one, neither in records nor in time: a few bytes could say much more.
    """
    if block.count > MOST_IN_A_BLOCK:
        raise BadBlock(f"a block holds up to {MOST_IN_A_BLOCK} records, not {block.count}")
    if block.last_ns - block.first_ns > LONGEST_BLOCK_NS:
        raise BadBlock(f"a block spans up to {LONGEST_BLOCK_NS / 1e9:g} s")
    times, values = unpack_series(block.data, block.count)
    if values.dtype.name not in _KIND_TYPES[block.place.kind]:
        raise BadBlock(f"a block of {block.place.kind} holds something else")
    if (int(times[0]), int(times[-1])) != (block.first_ns, block.last_ns):
        raise BadBlock("the stamps are not those its header names")
    if not bool((times[1:] >= times[:-1]).all()):
        raise BadBlock("the stamps go back")
    return Series(times_ns=times, values=values)


def gap_line(gap: Gap) -> str:
    """Return a gap as one line of JSON: [from_ns, to_ns, [lead, …], cause, count or null]."""
    return json.dumps([gap.from_ns, gap.to_ns, list(gap.leads), gap.cause, gap.count], separators=(",", ":"))


def pack_gaps(place: Place, number: int, gaps: Sequence[Gap]) -> Block:
    """Return gaps as a block: their lines, each ended by a line feed, deflated raw."""
    stream = compressobj(6, wbits=-15)
    text = "".join(gap_line(gap) + "\n" for gap in gaps).encode("ascii")
    return Block(
        place=place,
        number=number,
        first_ns=min(gap.from_ns for gap in gaps),
        last_ns=max(gap.to_ns for gap in gaps),
        count=len(gaps),
        data=len(text).to_bytes(4, "little") + stream.compress(text) + stream.flush(),
    )


def _is_whole(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and abs(value) < 1 << 63


def _gap_from(line: str) -> Gap:
    try:
        from_ns, to_ns, leads, cause, count = json.loads(line)
    except (ValueError, TypeError, RecursionError) as error:
        raise BadBlock(f"a gap cannot be read: {error}") from error
    whole = [from_ns, to_ns, *([] if count is None else [count])]
    if not isinstance(leads, list) or not isinstance(cause, str) or not all(map(_is_whole, [*whole, *leads])):
        raise BadBlock("a gap is not [from, to, leads, cause, count]")
    return Gap(leads=tuple(leads), from_ns=from_ns, to_ns=to_ns, cause=cause, count=count)


def gap_text_bytes(block: Block) -> int:
    """Return how long the lines of a block of gaps say they are, unpacked, [bytes]."""
    return int.from_bytes(block.data[:4], "little")


def unpack_gaps(block: Block) -> tuple[Gap, ...]:
    """Return the gaps of a block. Raises BadBlock when it contradicts its header."""
    if block.count > MOST_GAPS_IN_A_BLOCK:
        raise BadBlock(f"a block holds up to {MOST_GAPS_IN_A_BLOCK} gaps, not {block.count}")
    size = gap_text_bytes(block)
    if size > MOST_GAP_TEXT:
        raise BadBlock(f"gaps of {size} bytes are more than the {MOST_GAP_TEXT} a block may hold")
    try:
        lines = inflate(block.data[4:], size).decode("ascii").splitlines()
    except UnicodeDecodeError as error:
        raise BadBlock("the gaps are not text") from error
    gaps = tuple(_gap_from(line) for line in lines)
    if len(gaps) != block.count or not gaps:
        raise BadBlock(f"wanted {block.count} gaps, got {len(gaps)}")
    return gaps


@dataclass(slots=True, kw_only=True)
class GrowingBlocks:
    """One lead's blocks during recording: full ones are let go, the last one is kept to be added to."""

    place: Place
    tick_hz: int
    number: int = 0
    parts: list[Series] = field(default_factory=list)
    changed: bool = False

    def add(self, series: Series) -> None:
        """Take the next records. Raises WrongInput when their stamps go back or their values are of another type."""
        times = series.times_ns
        before = self.parts[-1] if self.parts else series
        if before.values.dtype != series.values.dtype:
            raise WrongInput(f"Lead {self.place.lead} began with {before.values.dtype} values, then came others.")
        if bool((times[1:] < times[:-1]).any()) or (self.parts and times[0] < before.times_ns[-1]):
            raise WrongInput(f"The stamps of lead {self.place.lead} go back in time ({self.place.kind.value}).")
        self.parts.append(series)
        self.changed = True

    def take(self) -> list[Block]:
        """Return every block that is new or has grown since the last call, oldest first; the last one stays open."""
        if not self.changed:
            return []
        whole = joined(self.parts)
        ends = block_ends(whole.times_ns)
        starts = [0, *ends[:-1]]
        blocks = [
            pack_block(self.place, self.number + place, whole.slice(start, end), tick_hz=self.tick_hz)
            for place, (start, end) in enumerate(zip(starts, ends, strict=True))
        ]
        self.parts = [whole.slice(starts[-1], ends[-1])]
        self.number += len(blocks) - 1
        self.changed = False
        return blocks
