"""Pixel columns of on-off and voltage leads: what a lane shows for a span of time.

Columns are absolute multiples of one column's duration, so that a scrolling picture does not shimmer: an edge falls
into the same column for as long as it is in view. Every frame is computed anew, by one binary search a lead; nothing
is carried over, so a late edge cannot leave a false gap behind. The cost grows with the width of the picture, not with
the number of edges in it.
(Quick enough: a strip that is only added to would save time and could draw gaps that are none.)
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

EMPTY, LOW, HIGH, BOTH, MISSING = range(5)
"""Column codes: nothing known yet, low throughout, high throughout, changes inside, records may be missing."""

Codes = NDArray[np.uint8]
Pixels = NDArray[np.uint32]


@dataclass(frozen=True, kw_only=True, slots=True)
class ColumnSpan:
    """The columns in view: count of them from the absolute number first, each column_ns long."""

    first: int
    count: int
    column_ns: int

    @property
    def from_ns(self) -> int:
        """The instant at which the first column begins."""
        return self.first * self.column_ns

    @property
    def to_ns(self) -> int:
        """The instant at which the last column ends; it belongs to the next column."""
        return (self.first + self.count) * self.column_ns

    def bounds_ns(self) -> NDArray[np.int64]:
        """Return the limits of the columns, int64 (count + 1,)."""
        return (np.arange(self.count + 1, dtype=np.int64) + self.first) * self.column_ns


def columns_ending_at(now_ns: int, *, window_ns: int, count: int) -> ColumnSpan:
    """Return the span of count columns whose last one holds now_ns and which covers at least window_ns.

    Raises ValueError if count or window_ns is below 1.
    """
    if count < 1 or window_ns < 1:
        raise ValueError(f"wanted at least one column and 1 ns of window, got {count} columns and {window_ns} ns")
    column_ns = -(-window_ns // count)
    return ColumnSpan(first=now_ns // column_ns - count + 1, count=count, column_ns=column_ns)


def edge_codes(
    times_ns: NDArray[np.int64],
    levels: NDArray[np.uint8],
    span: ColumnSpan,
    *,
    known_from_ns: int,
    known_to_ns: int,
    gaps_ns: Iterable[tuple[int, int]] = (),
) -> Codes:
    """Return the code of each column, uint8 (span.count,).

    times_ns, levels : the lead's edges, sorted, and the level after each; more than the view holds is welcome
    known_from_ns, known_to_ns : columns wholly outside are EMPTY (before recording began, after the newest record)
    gaps_ns : (from, to) in which records may be missing; every column they touch is MISSING
    Before the first edge the lead stood at the other level. A lead without edges is EMPTY.
    """
    bounds = span.bounds_ns()
    codes = np.zeros(span.count, dtype=np.uint8)
    if times_ns.size:
        before = np.searchsorted(times_ns, bounds, side="left")
        standing = levels[np.maximum(before[:-1] - 1, 0)]
        standing = np.where(before[:-1] > 0, standing, 1 - levels[0])
        codes[:] = np.where(before[1:] > before[:-1], BOTH, LOW + standing)
        codes[(bounds[1:] <= known_from_ns) | (bounds[:-1] > known_to_ns)] = EMPTY
    for gap_from_ns, gap_to_ns in gaps_ns:
        codes[(bounds[1:] > gap_from_ns) & (bounds[:-1] <= gap_to_ns)] = MISSING
    return codes


def level_extents(
    times_ns: NDArray[np.int64], values: NDArray[np.float64], span: ColumnSpan
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the lowest and highest value drawn in each column, float64 (span.count,) twice.

    A column also holds the last value before it, so that the line is unbroken; NaN before the first sample and after
    the column of the newest one.
    """
    low = np.full(span.count, np.nan)
    high = np.full(span.count, np.nan)
    before = np.searchsorted(times_ns, span.bounds_ns(), side="left")
    shown = np.flatnonzero((before[1:] > 0) & (span.bounds_ns()[:-1] <= (times_ns[-1] if times_ns.size else -1)))
    if shown.size == 0:
        return low, high
    starts = np.maximum(before[shown] - 1, 0)
    ends = before[shown + 1]
    # reduceat takes pairs; the slice between one pair's end and the next one's start is thrown away
    pairs = np.column_stack((starts, ends)).ravel()
    padded = np.append(values, values[-1])
    low[shown] = np.minimum.reduceat(padded, pairs)[::2]
    high[shown] = np.maximum.reduceat(padded, pairs)[::2]
    return low, high


@dataclass(frozen=True, kw_only=True, slots=True)
class LaneInk:
    """The colours of one lane as 0xFFRRGGBB, and the thickness of its lines in device pixels."""

    line: int
    fill: int
    ground: int
    missing: int
    thickness: int = 1


def paint_codes(pixels: Pixels, codes: Codes, ink: LaneInk) -> None:
    """Fill a lane's pixels, uint32 (height, len(codes)): the top rows are high, the bottom rows low."""
    thickness = max(1, min(ink.thickness, pixels.shape[0] // 2))
    body = np.array([ink.ground, ink.ground, ink.fill, ink.line, ink.missing], dtype=np.uint32)
    top = np.array([ink.ground, ink.ground, ink.line, ink.line, ink.missing], dtype=np.uint32)
    bottom = np.array([ink.ground, ink.line, ink.fill, ink.line, ink.missing], dtype=np.uint32)
    pixels[thickness:-thickness] = body[codes]
    pixels[:thickness] = top[codes]
    pixels[-thickness:] = bottom[codes]


def paint_extents(
    pixels: Pixels,
    low: NDArray[np.float64],
    high: NDArray[np.float64],
    ink: LaneInk,
    *,
    lowest: float,
    highest: float,
) -> None:
    """Fill a lane's pixels with a line from low to high in each column; lowest and highest are the lane's limits."""
    height = pixels.shape[0]
    pixels[:] = ink.ground
    shown = np.flatnonzero(np.isfinite(low))
    if shown.size == 0:
        return
    scale = (height - ink.thickness) / max(highest - lowest, np.finfo(np.float64).tiny)
    top = np.clip(np.rint((highest - high[shown]) * scale), 0, height - ink.thickness).astype(np.int64)
    bottom = np.clip(np.rint((highest - low[shown]) * scale), 0, height - ink.thickness).astype(np.int64)
    # Only what the line covers is touched: a lane's height times its width would be fifty times as much.
    lasts = bottom + ink.thickness - top
    rows = np.arange(int(lasts.sum())) - np.repeat(np.cumsum(lasts) - lasts, lasts) + np.repeat(top, lasts)
    pixels[rows, np.repeat(shown, lasts)] = ink.line
