"""The header row of a CSV file: its separator, its time column and its leads."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from benchapp.records.errors import WrongCall, WrongInput
from benchapp.sessions.exchange.notes import MARK
from benchapp.sessions.exchange.refusal import line_at, listed, refused, shown

TIME = "time_s"
"""The time column where none is named."""
GAP_SUFFIX = " gap"
"""A column `NAME gap` beside a column NAME is no lead: 1 means NAME is not known from here to its next value."""
_UNIT = {"s": 9, "ms": 6, "us": 3, "µs": 3, "μs": 3, "ns": 0}
_SEPARATORS = (b",", b";", b"\t")


@dataclass(frozen=True, kw_only=True, slots=True)
class Layout:
    """How a CSV file is laid out. A time is in units of 10^unit_exponent ns; body is where its rows begin.

    leads are the places of the columns that are leads; gap_of maps the place of a gap column to that of its lead;
    notes is the place of the notes of our own exports, or None.
    """

    separator: bytes
    names: tuple[str, ...]
    time: int
    unit_exponent: int
    leads: tuple[int, ...]
    gap_of: dict[int, int]
    notes: int | None
    body: int
    body_line: int

    @property
    def comma(self) -> bool:
        """Whether a comma can be a decimal comma."""
        return self.separator != b","


@dataclass(frozen=True, slots=True)
class Record:
    """One row: its cells, the line it begins on, and the bytes it lies between."""

    cells: list[bytes]
    line: int
    begin: int
    end: int


def records(data: bytes, begin: int, line: int, separator: bytes, *, file: str) -> Iterator[Record]:
    """Yield rows with quoted cells taken into account (RFC 4180); empty rows are passed over.

    Raises WrongInput for a quote that is never closed, or with text behind it.
    """
    mark = re.escape(separator)
    quoted = re.compile(rb'[ ]*"([^"]*(?:""[^"]*)*)"[ ]*')
    plain = re.compile(rb"[^\n\"" + mark + rb"]*")
    at = begin
    while at < len(data):
        cells: list[bytes] = []
        row_begin, row_line = at, line
        while True:
            found = quoted.match(data, at) or plain.match(data, at)
            if found is None:  # the plain pattern matches nothing at all as well
                break
            line += found.group().count(b"\n")
            cell = found.group(1).replace(b'""', b'"') if found.re is quoted else found.group()
            at = found.end()
            rest = data[at : at + 1]
            if rest == b"\r" and found.re is quoted:
                at += 1
                rest = data[at : at + 1]
            cells.append(cell if found.re is quoted else cell.strip(b" \r"))
            if rest == separator:
                at += 1
                continue
            if rest in (b"\n", b""):
                at += 1
                break
            raise refused(file, line, "a quoted cell is not closed, or text stands beside its quotes")
        if any(cells):
            yield Record(cells, row_line, row_begin, at)
        line += 1


def read_layout(data: bytes, *, file: str, time: str | None, skip: int) -> Layout:
    """Return the layout from the header row, after `skip` lines. Raises WrongInput, or WrongCall for the time."""
    begin = 0
    for _ in range(skip):
        after = data.find(b"\n", begin)
        if after < 0:
            lines = line_at(data, len(data))
            raise WrongCall(f"{shown(file)} has only {lines} lines; {skip} were to be skipped.")
        begin = after + 1
    wanted = _wanted_times(time)
    header, separator = _header(data, begin, skip + 1, set(wanted), file)
    names = tuple(_text(cell).strip() for cell in header.cells)
    name = _time_name(names, wanted, time, file, header.line)
    _check_names(names, header.line, file)
    place = names.index(name)
    gap_of = {
        column: names.index(word.removesuffix(GAP_SUFFIX))
        for column, word in enumerate(names)
        if word.endswith(GAP_SUFFIX) and word.removesuffix(GAP_SUFFIX) in names and column != place
    }
    notes = names.index(MARK) if MARK in names else None
    return Layout(
        separator=separator,
        names=names,
        time=place,
        unit_exponent=wanted[name],
        leads=tuple(column for column in range(len(names)) if column not in (place, notes) and column not in gap_of),
        gap_of=gap_of,
        notes=notes,
        body=header.end,
        body_line=header.line + data.count(b"\n", header.begin, header.end),
    )


def _wanted_times(time: str | None) -> dict[str, int]:
    """Return the names the time column may have, the first preferred, each with its unit's power of ten in ns.

    NAME:UNIT may also be the name of a column as a whole.
    """
    if time is None:
        return {TIME: 9}
    wanted = {time: _suffix_exponent(time)}
    name, colon, unit = time.rpartition(":")
    if colon and unit in _UNIT:
        wanted[name] = _UNIT[unit]
    return wanted


def _suffix_exponent(name: str) -> int:
    """Return the unit a name ends in (_ms, _us, _ns), seconds otherwise."""
    return _UNIT.get(name.rpartition("_")[2], 9) if "_" in name else 9


def _header(data: bytes, begin: int, line: int, times: set[str], file: str) -> tuple[Record, bytes]:
    """Return the header row, cut by the separator that makes the time column appear, or makes most columns."""
    found = []
    refusals = []
    for separator in _SEPARATORS:
        try:
            record = next(records(data, begin, line, separator, file=file), None)
        except WrongInput as refusal:  # quotes beside what only another separator parts
            refusals.append(refusal)
            continue
        if record is None:
            raise refused(file, None, "no header row: nothing but empty lines is there")
        has_time = any(_text(cell).strip() in times for cell in record.cells)
        found.append(((has_time and len(record.cells) > 1, len(record.cells)), record, separator))
    if not found:
        raise refusals[0]
    _, header, separator = max(found, key=lambda entry: entry[0])
    return header, separator


def _text(cell: bytes) -> str:
    """Return a header cell; what is not UTF-8 is read as the 8-bit text old instruments write."""
    try:
        return cell.decode("utf-8")
    except UnicodeDecodeError:
        return cell.decode("latin-1")


def _check_names(names: tuple[str, ...], line: int, file: str) -> None:
    seen: set[str] = set()
    for place, name in enumerate(names):
        if not name:
            raise refused(file, line, f"expected a name for each column, got none for column {place + 1}")
        if name in seen:
            raise refused(file, line, f"two columns are called {shown(name)}; each needs a name of its own")
        seen.add(name)


def _time_name(names: tuple[str, ...], wanted: dict[str, int], time: str | None, file: str, line: int) -> str:
    for name in wanted:
        if name in names:
            if len(names) == 1:
                raise refused(file, line, f"the header has no column beside the time {shown(name)}")
            return name
    columns = listed(list(names))
    if time is not None:
        raise WrongCall(
            f"{shown(file)} has no column called {shown(next(reversed(wanted)))}. Its columns are: {columns}. "
            "Name the time column as NAME or NAME:UNIT with s, ms, us or ns."
        )
    raise refused(
        file,
        line,
        f"expected a header row with a column {TIME}, got the columns {columns}; name another with "
        "--time NAME:UNIT, or pass lines before the header over with --skip N",
    )
