"""The rows of a CSV file, text to arrays.

Pieces of plain numbers go through `numpy.loadtxt`. Its times are doubles: where a double's error could reach the next
nanosecond, the cell is read again as a decimal. A piece that holds anything else (a quote, a letter, a bad cell) is
read row by row, which also finds the line to name.

A million rows of two on-off leads and one in volts (24 MB) take 0.8 s of processor time and 85 MB at the most. Times
that leave a double no room for the nanosecond (seconds since 1970 with six decimals, say) are all read again: 4.5 s.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from benchapp.records.errors import WrongInput
from benchapp.sessions.exchange.csv_layout import Layout, Record, records
from benchapp.sessions.exchange.decimals import float_of, nearest_ns, ns_of
from benchapp.sessions.exchange.refusal import refused, shown

_PIECE = 1 << 17  # bytes at a time: one odd row makes so much go row by row
_NUMERIC = b"0123456789+-.eE \n"
_NO_COMMA = "; decimal commas need ; between the columns"


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Column:
    """The values of one column, blanks left out.

    rows int64, (n,), counted from 0; values uint8 where all are 0 or 1, else float64.
    """

    rows: NDArray[np.int64]
    values: NDArray[np.uint8] | NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Table:
    """Every column but the time, by place, the stamps [ns] of all rows, and the notes of an export of ours."""

    columns: dict[int, Column]
    times_ns: NDArray[np.int64]
    notes: str | None


def read_table(data: bytes, layout: Layout, *, file: str) -> Table:
    """Return the rows. Raises WrongInput with line and column of the first cell that cannot be read."""
    return _Reader(data, layout, file).read()


class _Reader:
    """Walks the rows; the state between pieces is the last stamp and the number of lines and rows so far."""

    def __init__(self, data: bytes, layout: Layout, file: str) -> None:
        self._data = data
        self._layout = layout
        self._file = file
        self._plain = _NUMERIC + layout.separator + b","
        self._line = layout.body_line
        self._rows = 0
        self._last: int | None = None
        self._times: list[NDArray[np.int64]] = []
        self._parts: dict[int, list[Column]] = {place: [] for place in (*layout.leads, *layout.gap_of)}
        self._notes: str | None = None

    def read(self) -> Table:
        """Return everything."""
        low = self._layout.body
        size = _PIECE * (1 + len(self._layout.names) // 1000)  # some dozen rows even of thousands of columns
        while low < len(self._data):
            cut = self._data.find(b"\n", low + size)
            high = len(self._data) if cut < 0 else cut + 1
            low = self._at_once(low, high) or self._one_by_one(low, high)
        if not self._rows:
            raise refused(self._file, None, "no row of values follows the header")
        columns = {place: _joined(parts) for place, parts in self._parts.items()}
        return Table(columns=columns, times_ns=np.concatenate(self._times), notes=self._notes)

    # -- many rows at once ---------------------------------------------------------------------------------------

    def _at_once(self, low: int, high: int) -> int | None:
        """Take the rows between two bytes and return the second; None, with nothing taken, if any row is odd."""
        text = self._data[low:high].replace(b"\r\n", b"\n")
        if text.translate(None, self._plain):
            return None
        lines = [line for line in self._spelled_out(text).decode("ascii").split("\n") if line]
        if lines:
            try:
                cells = np.loadtxt(lines, delimiter=self._layout.separator.decode(), comments=None, ndmin=2)
            except ValueError:
                return None
            times = self._stamps(cells[:, self._layout.time], lines) if self._is_sound(cells) else None
            if times is None:
                return None
            # the notes stand in the first row, in quotes: a row without them has none
            self._take(times, cells, notes="")
        self._line += self._data.count(b"\n", low, high)
        return high

    def _spelled_out(self, text: bytes) -> bytes:
        """Return rows of numbers with decimal points, nan in blank cells, and no spaces beside the separators."""
        separator = self._layout.separator
        if self._layout.comma:
            text = text.replace(b",", b".")
        text = b"\n" + text + b"\n"
        if b" " in text:
            while b"  " in text:
                text = text.replace(b"  ", b" ")
            for mark in (separator, b"\n"):
                text = text.replace(b" " + mark, mark).replace(mark + b" ", mark)
        for before, behind in ((separator, separator), (separator, separator), (b"\n", separator), (separator, b"\n")):
            text = text.replace(before + behind, before + b"nan" + behind)
        return text

    def _is_sound(self, cells: NDArray[np.float64]) -> bool:
        return cells.shape[1] == len(self._layout.names) and not np.isinf(cells).any()

    def _stamps(self, times: NDArray[np.float64], lines: list[str]) -> NDArray[np.int64] | None:
        separator, exponent = self._layout.separator.decode(), self._layout.unit_exponent
        stamps, sure = nearest_ns(times, exponent)
        for row in np.flatnonzero(~sure).tolist():
            stamp = ns_of(lines[row].split(separator)[self._layout.time].encode(), exponent)
            if stamp is None:
                return None
            stamps[row] = stamp
        first = stamps[:1] if self._last is None else np.array([self._last])
        return None if (np.diff(stamps, prepend=first) < 0).any() else stamps

    def _take(self, times: NDArray[np.int64], cells: NDArray[np.float64], *, notes: str) -> None:
        """Keep rows: their stamps, and the cells of all columns with nan for a blank."""
        if self._layout.notes is not None and self._notes is None:
            self._notes = notes
        for place, parts in self._parts.items():
            filled = np.flatnonzero(~np.isnan(cells[:, place]))
            if filled.size:
                parts.append(Column(rows=filled + self._rows, values=_narrow(cells[filled, place])))
        self._times.append(times)
        self._last = int(times[-1])
        self._rows += times.size

    # -- row by row ----------------------------------------------------------------------------------------------

    def _one_by_one(self, low: int, high: int) -> int:
        """Take the rows that begin between two bytes and return the byte behind them."""
        times: list[int] = []
        cells: list[list[float]] = []
        notes = ""
        end = len(self._data)
        for record in records(self._data, low, self._line, self._layout.separator, file=self._file):
            if record.begin >= high:
                end = record.begin
                break
            times.append(self._row_time(record, times[-1] if times else self._last))
            cells.append([self._cell(record, place) for place in range(len(record.cells))])
            if len(times) == 1 and self._layout.notes is not None:
                notes = record.cells[self._layout.notes].decode("utf-8", errors="replace")
        if times:
            self._take(np.array(times, dtype=np.int64), np.array(cells, dtype=np.float64), notes=notes)
        self._line += self._data.count(b"\n", low, end)
        return end

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

    def _cell(self, record: Record, place: int) -> float:
        """Return one cell, nan for a blank and for what is no lead."""
        cell = record.cells[place]
        if not cell or place not in self._parts:
            return np.nan
        value = float_of(cell, comma=self._layout.comma)
        if value is None:
            raise self._wrong(record, place, f"expected a decimal number or nothing, got {shown(cell)}")
        return value

    def _wrong(self, record: Record, place: int, reason: str) -> WrongInput:
        return refused(self._file, record.line, reason, column=self._layout.names[place])


def _narrow(values: NDArray[np.float64]) -> NDArray[np.uint8] | NDArray[np.float64]:
    """Return values as uint8 where all are 0 or 1."""
    return values.astype(np.uint8) if ((values == 0) | (values == 1)).all() else values


def _joined(parts: list[Column]) -> Column:
    parts = parts or [Column(rows=np.empty(0, dtype=np.int64), values=np.empty(0, dtype=np.uint8))]
    return Column(
        rows=np.concatenate([part.rows for part in parts]),
        # uint8 beside float64 becomes float64
        values=np.concatenate([part.values for part in parts]),
    )
