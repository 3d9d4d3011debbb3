"""A capture written as a CSV file."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from benchapp.records.stream import Levels
from benchapp.sessions.exchange.capture import Capture
from benchapp.sessions.exchange.column_names import csv_names
from benchapp.sessions.exchange.csv_layout import GAP_SUFFIX, TIME
from benchapp.sessions.exchange.notes import MARK, notes_text
from benchapp.sessions.exchange.sequence import Sequence, spans_of, state_sequence
from benchapp.sessions.exchange.states import UNKNOWN

_BLOCK = 1 << 15  # cells a chunk of text
_SECOND = 10**9


def write_csv(capture: Capture) -> Iterator[bytes]:
    """Yield a capture as a CSV file, piece by piece, each ending on a whole line; read back it is the same capture.

    A header row; a row for every time at which something is written, times in s with nine decimals; a blank is no
    new value. A lead with gaps has a second column `NAME gap`: 1 where its state stops being known, 0 where it is
    known again. The last column holds the notes, in the first row.
    """
    columns = csv_names([lead.name for lead in capture.leads], taken={TIME, MARK})
    cells = _Cells(capture)
    headers = [*columns, *(f"{columns[place]}{GAP_SUFFIX}" for place in cells.broken)]
    notes = notes_text(capture, columns).replace('"', '""')
    yield _line([TIME, *(_quoted(name) for name in headers), MARK])
    yield _line([_seconds(capture.start_ns), *("" for _ in headers), f'"{notes}"'])
    yield from _rows(cells, len(headers))
    yield _line([_seconds(capture.stop_ns), *("" for _ in headers), ""])


def _line(cells: list[str]) -> bytes:
    return (",".join(cells) + "\n").encode("utf-8")


def _quoted(name: str) -> str:
    return '"' + name.replace('"', '""') + '"' if set(name) & set('",;\t') else name


def _seconds(time_ns: int) -> str:
    whole, rest = divmod(abs(time_ns), _SECOND)
    return f"{'-' if time_ns < 0 else ''}{whole}.{rest:09d}"


class _Cells:
    """Every cell of the file: its time, its turn among those of its lead at the same time, its column, its text.

    broken are the places of the leads that have a gap column; those columns stand behind the leads, in this order.
    """

    def __init__(self, capture: Capture) -> None:
        self.times: list[NDArray[np.int64]] = [np.empty(0, dtype=np.int64)]
        self.turns: list[NDArray[np.int64]] = [np.empty(0, dtype=np.int64)]
        self.columns: list[NDArray[np.int64]] = [np.empty(0, dtype=np.int64)]
        self.texts: list[NDArray[np.object_]] = [np.empty(0, dtype=object)]
        self.broken: list[int] = []
        self._gap_columns = len(capture.leads)
        for place, lead in enumerate(capture.leads):
            if lead.edges is not None:
                self._states(state_sequence(lead, lead.edges, capture.start_ns, capture.stop_ns), place)
            elif lead.levels is not None:
                self._volts(lead.levels, place)
                self._marks(spans_of(lead.gaps, capture.start_ns, capture.stop_ns), place)

    def _states(self, sequence: Sequence, place: int) -> None:
        turns = _turns(sequence.times_ns)
        known = sequence.states != UNKNOWN
        texts = np.array(["0", "1"], dtype=object)[sequence.states[known]]
        self._add(sequence.times_ns[known], turns[known], place, texts)
        change = np.flatnonzero(known != np.concatenate(([True], known[:-1])))
        if change.size:
            texts = np.array(["1", "0"], dtype=object)[known[change].astype(np.int64)]
            self._add(sequence.times_ns[change], turns[change], self._gap_columns + len(self.broken), texts)
            self.broken.append(place)

    def _volts(self, levels: Levels, place: int) -> None:
        texts = np.empty(levels.count, dtype=object)
        texts[:] = [repr(value) for value in np.asarray(levels.values, dtype=np.float64).tolist()]
        self._add(levels.times_ns, _turns(levels.times_ns), place, texts)

    def _marks(self, spans: list[tuple[int, int]], place: int) -> None:
        if spans:
            ends = np.array(spans, dtype=np.int64).reshape(-1)
            texts = np.array(["1", "0"], dtype=object)[np.arange(ends.size) % 2]
            self._add(ends, _turns(ends), self._gap_columns + len(self.broken), texts)
            self.broken.append(place)

    def _add(self, times: NDArray[np.int64], turns: NDArray[np.int64], column: int, texts: NDArray[np.object_]) -> None:
        self.times.append(times)
        self.turns.append(turns)
        self.columns.append(np.full(times.size, column, dtype=np.int64))
        self.texts.append(texts)


def _turns(times: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return for each of sorted times how many equal ones stand before it."""
    places = np.arange(times.size)
    new = np.ones(times.size, dtype=bool)
    new[1:] = times[1:] != times[:-1]
    return places - np.maximum.accumulate(np.where(new, places, 0))


def _rows(cells: _Cells, width: int) -> Iterator[bytes]:
    times, turns = np.concatenate(cells.times), np.concatenate(cells.turns)
    columns, texts = np.concatenate(cells.columns), np.concatenate(cells.texts)
    order = np.lexsort((turns, times))
    times, turns, columns, texts = times[order], turns[order], columns[order], texts[order]
    begins = np.ones(times.size, dtype=bool)
    begins[1:] = (times[1:] != times[:-1]) | (turns[1:] != turns[:-1])
    starts = np.append(np.flatnonzero(begins), times.size)
    rows_at_once = max(1, _BLOCK // (width + 2))
    for low in range(0, starts.size - 1, rows_at_once):
        cut = starts[low : low + rows_at_once + 1]
        first, last = int(cut[0]), int(cut[-1])
        table = np.full((cut.size - 1, width + 2), "", dtype=object)
        table[:, 0] = [_seconds(time) for time in times[cut[:-1]].tolist()]
        row = np.cumsum(begins[first:last]) - 1
        table[row, columns[first:last] + 1] = texts[first:last]
        yield "".join(",".join(line) + "\n" for line in table.tolist()).encode("ascii")
