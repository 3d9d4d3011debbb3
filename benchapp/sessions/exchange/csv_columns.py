"""CSV files: a time column, and a lead in each further one."""

from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from benchapp.records.stream import Gap, Levels, frozen_array
from benchapp.sessions.exchange.capture import Capture, CaptureLead
from benchapp.sessions.exchange.csv_body import Column, Table, read_table
from benchapp.sessions.exchange.csv_layout import Layout, read_layout
from benchapp.sessions.exchange.csv_text import csv_chunks
from benchapp.sessions.exchange.csv_tick import csv_tick_ns
from benchapp.sessions.exchange.notes import applied_notes, level_columns
from benchapp.sessions.exchange.plain_text import plain_bytes
from benchapp.sessions.exchange.states import UNKNOWN, UNKNOWN_STATE, transitions
from benchapp.sessions.exchange.thresholds import Threshold, thresholded


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
        tick_ns=csv_tick_ns(table.times_ns),
        started=None,
        leads=leads,
        start_ns=int(table.times_ns[0]),
        stop_ns=int(table.times_ns[-1]),
    )
    return thresholded(applied_notes(capture, table.notes or None), thresholds or {})


def write_csv(capture: Capture) -> Iterator[bytes]:
    """Yield a capture as a CSV file, piece by piece; reading it back gives the same capture."""
    return csv_chunks(capture)


def _lead(layout: Layout, table: Table, column: int, place: int, *, as_volts: bool) -> CaptureLead:
    name = layout.names[column]
    lead = CaptureLead(name=name, scoped_name=name, source=name)
    values = table.columns[column]
    marks = next((table.columns[gap] for gap, of in layout.gap_of.items() if of == column), None)
    stop_ns = int(table.times_ns[-1])
    if as_volts or values.values.dtype.kind == "f":
        levels = Levels(
            lead=place,
            times_ns=frozen_array(values.times_ns),
            values=frozen_array(values.values.astype(np.float64)),
        )
        return replace(lead, levels=levels, gaps=_level_gaps(marks, place, stop_ns))
    times, states = _with_gaps(values, marks)
    seen = transitions(times, states, lead=place, stop_ns=stop_ns)
    return replace(lead, edges=seen.edges, initial=seen.initial, gaps=seen.gaps)


def _with_gaps(values: Column, marks: Column | None) -> tuple[NDArray[np.int64], NDArray[np.uint8]]:
    """Return a lead's states with UNKNOWN where its gap column begins a gap, behind the row's own value."""
    states = values.values.astype(np.uint8)
    if marks is None:
        return values.times_ns, states
    begins = marks.values != 0
    rows = np.concatenate((values.rows * 2, marks.rows[begins] * 2 + 1))
    order = np.argsort(rows, kind="stable")
    times = np.concatenate((values.times_ns, marks.times_ns[begins]))
    codes = np.concatenate((states, np.full(int(begins.sum()), UNKNOWN, dtype=np.uint8)))
    return times[order], codes[order]


def _level_gaps(marks: Column | None, place: int, stop_ns: int) -> tuple[Gap, ...]:
    """Return the spans from each 1 of a gap column to the next 0."""
    if marks is None:
        return ()
    seen = transitions(marks.times_ns, (marks.values != 0).astype(np.uint8), lead=place, stop_ns=stop_ns)
    rises, falls = (seen.edges.times_ns[seen.edges.levels == level].tolist() for level in (1, 0))
    if seen.initial == 1:
        rises.insert(0, int(marks.times_ns[0]))
    falls += [stop_ns] * (len(rises) - len(falls))
    return tuple(
        Gap(leads=(place,), from_ns=begin, to_ns=end, cause=UNKNOWN_STATE)
        for begin, end in zip(rises, falls, strict=True)
    )
