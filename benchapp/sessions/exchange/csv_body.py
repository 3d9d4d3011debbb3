"""The rows of a CSV file, text to arrays, a megabyte at a time."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchapp.records.errors import WrongInput
from benchapp.sessions.exchange.csv_layout import Layout, Record, records
from benchapp.sessions.exchange.decimals import PAD, Places, float_of, floats, ns_of, read_decimals, scaled_to_ns
from benchapp.sessions.exchange.refusal import refused, shown

_CHUNK = 1 << 20  # bytes at a time
_LITTLE = 1 << 12  # bytes that may go row by row
_NO_COMMA = "; decimal commas need ; between the columns"

_IS_BLANK = np.isin(np.arange(256), (13, 32))

Values = NDArray[np.uint8] | NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Column:
    """The values of one column, blanks left out.

    rows int64, (n,), counted from 0; times_ns int64, (n,); values uint8 where all are 0 or 1, else float64.
    """

    rows: NDArray[np.int64]
    times_ns: NDArray[np.int64]
    values: Values


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Table:
    """Every column but the time, by place, the stamps of all rows, and the notes of an export of ours."""

    columns: dict[int, Column]
    times_ns: NDArray[np.int64]
    notes: str | None


def read_table(data: bytes, layout: Layout, *, file: str) -> Table:
    """Return the rows. Raises WrongInput with line and column of the first cell that cannot be read.

    Plain rows are cut and read a megabyte at a time; rows with quotes, and those close to anything odd, go one by
    one, which also finds the line to name.
    """
    return _Reader(data, layout, file).read()


class _Reader:
    """Walks the rows; the state between chunks is the last stamp and the number of lines and rows so far."""

    def __init__(self, data: bytes, layout: Layout, file: str) -> None:
        self._stop = len(data.rstrip(b"\r\n"))
        self._data = data[: self._stop] + b"\n" + b" " * PAD
        self._stop += 1
        self._layout = layout
        self._file = file
        self._text = np.frombuffer(self._data, dtype=np.uint8)
        self._line = layout.body_line
        self._rows = 0
        self._last: int | None = None
        self._wanted = (*layout.leads, *layout.gap_of)
        self._times: list[NDArray[np.int64]] = []
        self._parts: dict[int, list[Column]] = {place: [] for place in self._wanted}
        self._notes: str | None = None

    def read(self) -> Table:
        """Return everything."""
        low, size = self._layout.body, _CHUNK
        while low < self._stop:
            cut = self._data.find(b"\n", min(low + size, self._stop - 1), self._stop)
            high = self._stop if cut < 0 else cut + 1
            behind = self._plain(low, high)
            if behind is None and size > _LITTLE:
                size //= 8  # close in on the odd row, so that few go one by one
                continue
            low = self._odd(low, high) if behind is None else behind
            size = min(2 * size, _CHUNK)
        if not self._rows:
            raise refused(self._file, None, "no row of values follows the header")
        columns = {place: _whole(parts) for place, parts in self._parts.items()}
        return Table(columns=columns, times_ns=np.concatenate(self._times), notes=self._notes)

    # -- many rows at once ---------------------------------------------------------------------------------------

    def _plain(self, low: int, high: int) -> int | None:
        """Take the rows between two bytes and return the second; None, with nothing taken, if any row is odd."""
        width = len(self._layout.names)
        span = self._text[low:high]
        newline = span == 10
        marks = np.flatnonzero(newline | (span == self._layout.separator[0]))
        if marks.size % width or (span == ord('"')).any():
            return None
        ends = (marks + low).reshape(-1, width)
        is_newline = newline[marks].reshape(-1, width)
        if is_newline[:, :-1].any() or not is_newline[:, -1].all():
            return None
        starts = np.empty_like(ends)
        starts.ravel()[0] = low
        starts.ravel()[1:] = ends.ravel()[:-1] + 1
        cells = [self._trimmed(starts[:, place], ends[:, place]) for place in range(width)]
        times = self._stamps(*cells[self._layout.time])
        if times is None:
            return None
        taken: dict[int, Column] = {}
        for place in self._wanted:
            column = self._column(*cells[place], times)
            if column is None:
                return None
            taken[place] = column
        if self._layout.notes is not None and self._notes is None:
            # the notes stand in the first row, in quotes: a row without them has none
            self._notes = ""
        self._take(times, taken, lines=times.size)
        return high

    def _trimmed(self, starts: Places, ends: Places) -> tuple[Places, Places]:
        """Return fields without the blanks round them and the CR of a line end."""
        while (loose := (ends > starts) & _IS_BLANK[self._text[ends - 1]]).any():
            ends = ends - loose
        while (loose := (ends > starts) & _IS_BLANK[self._text[starts]]).any():
            starts = starts + loose
        return starts, ends

    def _stamps(self, starts: Places, ends: Places) -> NDArray[np.int64] | None:
        comma = self._layout.comma
        times, good = scaled_to_ns(read_decimals(self._text, starts, ends, comma=comma), self._layout.unit_exponent)
        for row in np.flatnonzero(~good).tolist():
            stamp = ns_of(bytes(self._text[starts[row] : ends[row]]), self._layout.unit_exponent, comma=comma)
            if stamp is None:
                return None
            times[row] = stamp
        first = times[:1] if self._last is None else np.array([self._last])
        return None if (np.diff(times, prepend=first) < 0).any() else times

    def _column(self, starts: Places, ends: Places, times: NDArray[np.int64]) -> Column | None:
        filled = ends > starts
        rows = np.arange(self._rows, self._rows + times.size)
        if not filled.all():
            starts, ends, rows, times = starts[filled], ends[filled], rows[filled], times[filled]
        if (ends - starts == 1).all():
            digits = self._text[starts] - np.uint8(48)
            if (digits < 2).all():
                return Column(rows=rows, times_ns=times, values=digits)
        values, wrong = floats(self._text, starts, ends, comma=self._layout.comma)
        return None if wrong.size else Column(rows=rows, times_ns=times, values=_narrow(values))

    def _take(self, times: NDArray[np.int64], taken: dict[int, Column], *, lines: int) -> None:
        if times.size:
            self._times.append(times)
            self._last = int(times[-1])
            for place, column in taken.items():
                if column.rows.size:
                    self._parts[place].append(column)
        self._rows += times.size
        self._line += lines

    # -- row by row ----------------------------------------------------------------------------------------------

    def _odd(self, low: int, high: int) -> int:
        """Take rows one by one, at least to the last quote before `high`, and return the byte behind them."""
        enough = self._data.rfind(b'"', low, high)
        if enough < 0:
            enough = high - 1
        times: list[int] = []
        cells: dict[int, list[tuple[int, int, float]]] = {place: [] for place in self._wanted}
        at, line = low, self._line
        body = self._data
        for record in records(body, low, self._line, self._layout.separator, file=self._file, stop=self._stop):
            if record.begin > enough:
                at, line = record.begin, record.line
                break
            at = record.end
            line = record.line + body.count(b"\n", record.begin, record.end)
            stamp = self._row_time(record, times[-1] if times else self._last)
            for place in self._wanted:
                value = self._cell(record, place)
                if value is not None:
                    cells[place].append((self._rows + len(times), stamp, value))
            self._row_notes(record)
            times.append(stamp)
        else:
            at = self._stop
        taken = {place: _column_of(rows) for place, rows in cells.items()}
        self._take(np.array(times, dtype=np.int64), taken, lines=line - self._line)
        return at

    def _row_time(self, record: Record, last: int | None) -> int:
        width = len(self._layout.names)
        if len(record.cells) != width:
            hint = _NO_COMMA if len(record.cells) > width and not self._layout.comma else ""
            raise refused(
                self._file,
                record.line,
                f"expected {width} cells as in the header row, got {len(record.cells)}{hint}",
            )
        cell = record.cells[self._layout.time]
        stamp = ns_of(cell, self._layout.unit_exponent, comma=self._layout.comma)
        if stamp is None:
            got = f"got {shown(cell)}" if cell else "got nothing"
            raise self._wrong(record, self._layout.time, f"expected a time as a decimal number, {got}")
        if last is not None and stamp < last:
            raise self._wrong(record, self._layout.time, f"the time runs backwards, to {shown(cell)}")
        return stamp

    def _cell(self, record: Record, place: int) -> float | None:
        cell = record.cells[place]
        if not cell:
            return None
        value = float_of(cell, comma=self._layout.comma)
        if value is None:
            raise self._wrong(record, place, f"expected a decimal number or nothing, got {shown(cell)}")
        return value

    def _row_notes(self, record: Record) -> None:
        if self._layout.notes is not None and self._notes is None:
            self._notes = record.cells[self._layout.notes].decode("utf-8", errors="replace")

    def _wrong(self, record: Record, place: int, reason: str) -> WrongInput:
        return refused(self._file, record.line, reason, column=self._layout.names[place])


def _narrow(values: NDArray[np.float64]) -> Values:
    """Return values as uint8 where all are 0 or 1."""
    return values.astype(np.uint8) if ((values == 0) | (values == 1)).all() else values


def _column_of(rows: Sequence[tuple[int, int, float]]) -> Column:
    return Column(
        rows=np.array([row for row, _, _ in rows], dtype=np.int64),
        times_ns=np.array([stamp for _, stamp, _ in rows], dtype=np.int64),
        values=_narrow(np.array([value for _, _, value in rows], dtype=np.float64)),
    )


def _whole(parts: list[Column]) -> Column:
    empty = Column(
        rows=np.empty(0, dtype=np.int64), times_ns=np.empty(0, dtype=np.int64), values=np.empty(0, dtype=np.uint8)
    )
    parts = parts or [empty]
    return Column(
        rows=np.concatenate([part.rows for part in parts]),
        times_ns=np.concatenate([part.times_ns for part in parts]),
        # uint8 beside float64 becomes float64
        values=np.concatenate([part.values for part in parts]),
    )
