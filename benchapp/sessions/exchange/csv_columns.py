"""CSV files: a time column, and a lead in each further one."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from benchapp.records.stream import Gap, Levels, frozen_array
from benchapp.sessions.exchange.capture import Capture, CaptureLead
from benchapp.sessions.exchange.csv_body import Column, Table, read_table
from benchapp.sessions.exchange.csv_layout import Layout, read_layout
from benchapp.sessions.exchange.notes import applied_notes, level_columns
from benchapp.sessions.exchange.plain_text import plain_bytes
from benchapp.sessions.exchange.states import UNKNOWN, UNKNOWN_STATE, transitions
from benchapp.sessions.exchange.thresholds import Threshold, thresholded

_EVEN_WITHIN_NS = 2  # two stamps of an even row, each rounded to a whole ns, differ from the others by so much


def read_csv(
    data: bytes,
    *,
    file: str,
    time: str | None = None,
    skip: int = 0,
    thresholds: Mapping[str, Threshold] | None = None,
) -> Capture:
    """Return what a CSV file holds.

    Columns are parted by commas, semicolons or tabs; where it is no comma, numbers may have a decimal comma. Times are
    in seconds in the column `time_s`, or as `time` says (NAME or NAME:UNIT; without a unit a name ending in _ms, _us
    or _ns states it), read exactly and rounded to the nearest ns. A column of 0 and 1 is an on-off lead: its first
    value is a state, an edge is at the row where the value changes. Any other is volts; those named in thresholds
    become on-off leads. A blank is no new value. Rows need not be evenly spaced; equal times are allowed.
    Raises WrongInput with file, line, column and reason, or WrongCall for a time or threshold that fits no column.
    """
    data = plain_bytes(data, file=file)
    layout = read_layout(data, file=file, time=time, skip=skip)
    table = read_table(data, layout, file=file)
    volts = level_columns(table.notes or None) | frozenset(thresholds or {})
    leads = tuple(
        _lead(layout, table, column, place, as_volts=layout.names[column] in volts)
        for place, column in enumerate(layout.leads)
    )
    capture = Capture(
        name_hint=file,
        tick_ns=_tick_ns(table.times_ns),
        started=None,
        leads=leads,
        start_ns=int(table.times_ns[0]),
        stop_ns=int(table.times_ns[-1]),
    )
    return thresholded(applied_notes(capture, table.notes or None), thresholds or {})


def _lead(layout: Layout, table: Table, column: int, place: int, *, as_volts: bool) -> CaptureLead:
    name = layout.names[column]
    lead = CaptureLead(name=name, scoped_name=name, source=name)
    values = table.columns[column]
    marks = next((table.columns[gap] for gap, of in layout.gap_of.items() if of == column), None)
    stop_ns = int(table.times_ns[-1])
    if as_volts or values.values.dtype.kind == "f":
        levels = Levels(
            lead=place,
            times_ns=frozen_array(table.times_ns[values.rows]),
            values=frozen_array(values.values.astype(np.float64)),
        )
        return replace(lead, levels=levels, gaps=_level_gaps(table.times_ns, marks, place))
    times, states = _with_gaps(table.times_ns, values, marks)
    seen = transitions(times, states, lead=place, stop_ns=stop_ns)
    return replace(lead, edges=seen.edges, initial=seen.initial, gaps=seen.gaps)


def _with_gaps(
    times_ns: NDArray[np.int64], values: Column, marks: Column | None
) -> tuple[NDArray[np.int64], NDArray[np.uint8]]:
    """Return a lead's states with UNKNOWN where its gap column begins a gap, behind the row's own value."""
    states = values.values.astype(np.uint8)
    if marks is None:
        return times_ns[values.rows], states
    begins = marks.rows[marks.values != 0]
    rows = np.concatenate((values.rows * 2, begins * 2 + 1))
    order = np.argsort(rows, kind="stable")
    codes = np.concatenate((states, np.full(begins.size, UNKNOWN, dtype=np.uint8)))
    return times_ns[rows[order] // 2], codes[order]


def _level_gaps(times_ns: NDArray[np.int64], marks: Column | None, place: int) -> tuple[Gap, ...]:
    """Return the spans from each 1 of a gap column to the next 0."""
    if marks is None:
        return ()
    times, stop_ns = times_ns[marks.rows], int(times_ns[-1])
    seen = transitions(times, (marks.values != 0).astype(np.uint8), lead=place, stop_ns=stop_ns)
    rises, falls = (seen.edges.times_ns[seen.edges.levels == level].tolist() for level in (1, 0))
    if seen.initial == 1:
        rises.insert(0, int(times[0]))
    falls += [stop_ns] * (len(rises) - len(falls))
    return tuple(
        Gap(leads=(place,), from_ns=begin, to_ns=end, cause=UNKNOWN_STATE)
        for begin, end in zip(rises, falls, strict=True)
    )


def _tick_ns(times_ns: NDArray[np.int64]) -> float:
    """Return the stamp interval [ns] that the rows' times give away.

    Rows an equal time apart (within the rounding to whole ns): that time, from the first to the last. Otherwise the
    greatest common divisor of the distances, at least 1 ns: times with six decimals cannot be finer than 1 µs, and
    rows that are written only when something changes still fall on the instrument's tick. 1 ns if all times are equal.
    """
    steps = np.diff(times_ns)
    steps = steps[steps > 0]
    if not steps.size:
        return 1.0
    if steps.size == times_ns.size - 1 and steps.size > 1 and int(steps.max() - steps.min()) <= _EVEN_WITHIN_NS:
        return float(times_ns[-1] - times_ns[0]) / steps.size
    divisor = 0
    for low in range(0, steps.size, 1 << 16):
        divisor = int(np.gcd.reduce(steps[low : low + (1 << 16)], initial=divisor))
        if divisor == 1:
            break
    return float(divisor)
