"""Columns of stamps and values to few bytes and back, exactly.

A packed series, little-endian:

  u8   content: 1 edges, 2 samples as counts, 3 samples in volts, 4 clock pairs
  then for each of the two columns, 16 bytes:
       u32 grid_hz (0: no grid), u16 shift_ns, u8 lag, u8 width, i64 first
  then one raw deflate stream (RFC 1951) of the byte planes: column by column, lowest byte first,
       count - 1 bytes a plane

A column of numbers x becomes its first number and the differences d[i] = x[i + 1] - x[i]; with a lag the residual
r[i] = d[i] - d[i - lag] is kept instead (a train of servo pulses repeats every few edges), then zigzag, then planes.
Stamps that lie on a counter's grid are counted in ticks first: a tick of 62.5 ns alternates between 62 and 63 ns, and
that alternation would cost as many bytes as the signal itself. The states of edges (level | flags << 1) are kept with
the level turned over at every odd place, so that a lead that alternates costs nothing. Volts are kept as their bits.
All arithmetic wraps at 64 bits both ways, so nothing is rounded.

Unpacking is bounded by the count the block states: a stream that wants to grow past it is refused unread.
"""

import struct
import zlib
from dataclasses import dataclass
from math import gcd
from typing import Any

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Values = NDArray[np.uint8] | NDArray[np.uint16] | NDArray[np.float64] | NDArray[np.int64]

EDGES, COUNTS, VOLTS, CLOCK = 1, 2, 3, 4
MOST_RECORDS = 1 << 16
"""The most records of one block that unpacking accepts; writers stay well below."""

_COLUMN = struct.Struct("<IHBBq")
_LAGS = (1, *range(2, 37, 2))  # up to 17 channels and the start gap of a pulse train: two edges each
_NS_PER_S = 1_000_000_000
_WIDEST_GRID = 4096  # the repeat of a grid is searched entry by entry; 16 MHz repeats every 125 ns
_FARTHEST_NS = 1 << 62  # beyond it, taking the shift away could wrap
_FEW = 64  # below this a lag costs more in its run-in than it saves


class BadBlock(ValueError):
    """A packed block is not what its header says."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Grid:
    """The whole-nanosecond stamps a counter can make: every `repeat_ns`, `ticks` of them at `stamps_ns`."""

    repeat_ns: int
    ticks: int
    stamps_ns: Ints


def grid_of(hz: int) -> Grid | None:
    """Return the grid of a counter's rate [Hz], or None where it repeats too seldom to be of use."""
    if not 0 < hz <= _NS_PER_S:
        return None
    common = gcd(_NS_PER_S, hz)
    repeat_ns, ticks = _NS_PER_S // common, hz // common
    if repeat_ns > _WIDEST_GRID:
        return None
    stamps = (np.arange(ticks, dtype=np.int64) * _NS_PER_S + hz // 2) // hz
    return Grid(repeat_ns=repeat_ns, ticks=ticks, stamps_ns=stamps)


def _shift_onto(grid: Grid, stamps_ns: Ints) -> int | None:
    """Return the shift [ns] that puts every stamp on the grid, or None if there is none."""
    seen = np.flatnonzero(np.bincount(stamps_ns % grid.repeat_ns, minlength=grid.repeat_ns))
    if seen.size > grid.ticks:
        return None
    on_grid = np.zeros(grid.repeat_ns, dtype=np.bool_)
    on_grid[grid.stamps_ns] = True
    shifts = np.arange(grid.repeat_ns)
    fits = on_grid[(seen[None, :] - shifts[:, None]) % grid.repeat_ns].all(axis=1)
    return int(fits.argmax()) if fits.any() else None


def _to_ticks(grid: Grid, shift_ns: int, stamps_ns: Ints) -> Ints:
    place = np.zeros(grid.repeat_ns, dtype=np.int64)
    place[grid.stamps_ns] = np.arange(grid.ticks)
    repeats = (stamps_ns - shift_ns) // grid.repeat_ns
    ticks: Ints = repeats * grid.ticks + place[stamps_ns - shift_ns - repeats * grid.repeat_ns]
    return ticks


def _to_stamps(grid: Grid, shift_ns: int, ticks: Ints) -> Ints:
    repeats = ticks // grid.ticks
    stamps: Ints = repeats * grid.repeat_ns + shift_ns
    if grid.ticks > 1:
        stamps += grid.stamps_ns[ticks - repeats * grid.ticks]
    return stamps


def _lagged(steps: Ints, lag: int) -> Ints:
    if not lag:
        return steps
    residuals = steps.copy()
    residuals[lag:] -= steps[:-lag]
    return residuals


def _unlagged(residuals: Ints, lag: int) -> Ints:
    if not lag or residuals.size <= lag:
        return residuals
    rows = -(-residuals.size // lag)
    padded = np.zeros(rows * lag, dtype=np.int64)
    padded[: residuals.size] = residuals
    return padded.reshape(rows, lag).cumsum(axis=0).ravel()[: residuals.size]


def _planes(residuals: Ints) -> NDArray[np.uint8]:
    """Return the zigzag byte planes, (width, n)."""
    zigzag = ((residuals << 1) ^ (residuals >> 63)).view(np.uint64)
    widest = int(zigzag.max()) if zigzag.size else 0
    width = (widest.bit_length() + 7) // 8
    return zigzag.astype("<u8", copy=False).view(np.uint8).reshape(-1, 8)[:, :width].T


def _from_planes(planes: NDArray[np.uint8]) -> Ints:
    cells = np.zeros((planes.shape[1], 8), dtype=np.uint8)
    cells[:, : planes.shape[0]] = planes.T
    zigzag = cells.view("<u8").ravel().astype(np.uint64, copy=False)
    halves: Ints = (zigzag >> np.uint64(1)).view(np.int64)
    return halves ^ -(zigzag & np.uint64(1)).view(np.int64)


def _bits(planes: NDArray[np.uint8]) -> float:
    """Return about how many bits the planes cost: the entropy of each plane's bytes."""
    total = 0.0
    for plane in planes:
        shares = np.bincount(plane, minlength=256)
        shares = shares[shares > 0] / plane.size
        total -= plane.size * float((shares * np.log2(shares)).sum())
    return total


def _best_lag(steps: Ints) -> int:
    if steps.size < _FEW:
        return 0
    sizes = [float(np.log2(1.0 + np.abs(_lagged(steps, lag).astype(np.float64))).sum()) for lag in _LAGS]
    lag = _LAGS[int(np.argmin(sizes))]
    return lag if _bits(_planes(_lagged(steps, lag))) < _bits(_planes(steps)) else 0


def _pack_column(numbers: Ints, hz: int) -> tuple[bytes, NDArray[np.uint8]]:
    grid = grid_of(hz) if numbers[0] > -_FARTHEST_NS and numbers[-1] < _FARTHEST_NS else None
    shift = _shift_onto(grid, numbers) if grid is not None else None
    if grid is None or shift is None:
        hz, shift = 0, 0
    else:
        numbers = _to_ticks(grid, shift, numbers)
    steps = np.diff(numbers)
    lag = _best_lag(steps)
    planes = _planes(_lagged(steps, lag))
    return _COLUMN.pack(hz, shift, lag, planes.shape[0], int(numbers[0])), planes


def _deflate(planes: list[NDArray[np.uint8]]) -> bytes:
    # Level 6 in filtered mode, a new Huffman table a plane: 10 to 20 % smaller here than level 1, at 50 ns an edge.
    stream = zlib.compressobj(6, zlib.DEFLATED, -15, 8, zlib.Z_FILTERED)
    parts = []
    for plane in planes:
        parts += [stream.compress(plane.tobytes()), stream.flush(zlib.Z_BLOCK)]
    return b"".join([*parts, stream.flush()])


def inflate(data: bytes, size: int) -> bytes:
    """Return exactly `size` bytes from a raw deflate stream. Raises BadBlock for any other length or a broken one."""
    stream = zlib.decompressobj(-15)
    try:
        plain = stream.decompress(data, size + 1)
    except zlib.error as error:
        raise BadBlock(f"the packed data do not unpack: {error}") from error
    if len(plain) != size or not stream.eof or stream.unused_data:
        raise BadBlock(f"wanted {size} bytes unpacked, got {len(plain)}{'' if stream.eof else ' and no end'}")
    return plain


def _content_of(values: Values) -> int:
    return {"uint8": EDGES, "uint16": COUNTS, "float64": VOLTS, "int64": CLOCK}[values.dtype.name]


def _turned(states: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return the states with the level turned over at every odd place."""
    turned = states.copy()
    turned[1::2] ^= 1
    return turned


def pack_series(times_ns: Ints, values: Values, *, tick_hz: int) -> bytes:
    """Return the packed bytes of one lead's records.

    times_ns : int64 [ns], (n,), n ≥ 1
    values   : (n,); uint8 states of edges (level | flags << 1), uint16 counts, float64 volts, or int64 host stamps [ns]
    tick_hz  : the counter's rate, used only where every stamp lies on its grid
    """
    content = _content_of(values)
    if content == EDGES:
        numbers = _turned(values.view(np.uint8)).astype(np.int64)
    elif content == VOLTS:
        numbers = np.ascontiguousarray(values).view(np.int64)
    else:
        numbers = values.astype(np.int64)
    heads, planes = [bytes([content])], []
    for column, hz in ((times_ns, tick_hz), (numbers, 0)):
        head, rows = _pack_column(column, hz)
        heads.append(head)
        planes += list(rows)
    return b"".join(heads) + _deflate(planes)


def _unpack_column(head: tuple[Any, ...], planes: NDArray[np.uint8]) -> Ints:
    hz, shift_ns, lag, _, first = head
    numbers = np.empty(planes.shape[1] + 1, dtype=np.int64)
    numbers[0] = first
    np.cumsum(_unlagged(_from_planes(planes), lag), out=numbers[1:])
    numbers[1:] += first
    if not hz:
        return numbers
    grid = grid_of(hz)
    if grid is None:
        raise BadBlock(f"a counter of {hz} Hz has no grid")
    return _to_stamps(grid, shift_ns, numbers)


def _as_values(content: int, numbers: Ints) -> Values:
    if content == VOLTS:
        return numbers.view(np.float64)
    if content == CLOCK:
        return numbers
    top = 0xFF if content == EDGES else 0xFFFF
    if numbers.min() < 0 or numbers.max() > top:
        raise BadBlock(f"a value lies outside 0 to {top}")
    return _turned(numbers.astype(np.uint8)) if content == EDGES else numbers.astype(np.uint16)


def unpack_series(data: bytes, count: int) -> tuple[Ints, Values]:
    """Return (times_ns, values) as they were packed; the values' type tells the content.

    count : the number of records the block states, 1 to MOST_RECORDS.
    Raises BadBlock when the bytes are anything but a series of that many records.
    """
    body = 1 + 2 * _COLUMN.size
    if not 1 <= count <= MOST_RECORDS:
        raise BadBlock(f"a block holds 1 to {MOST_RECORDS} records, not {count}")
    if len(data) < body or data[0] not in (EDGES, COUNTS, VOLTS, CLOCK):
        raise BadBlock("the packed data do not begin as a series does")
    heads = [_COLUMN.unpack_from(data, 1 + place * _COLUMN.size) for place in range(2)]
    widths = [head[3] for head in heads]
    if max(widths) > 8:
        raise BadBlock(f"a number of {max(widths)} bytes is too wide")
    plain = np.frombuffer(inflate(data[body:], sum(widths) * (count - 1)), dtype=np.uint8)
    planes = plain.reshape(sum(widths), count - 1)
    times = _unpack_column(heads[0], planes[: widths[0]])
    return times, _as_values(data[0], _unpack_column(heads[1], planes[widths[0] :]))
