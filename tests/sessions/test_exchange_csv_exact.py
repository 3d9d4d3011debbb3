"""CSV files of any spelling against Python's own decimals: every stamp exact, every bad line by its number."""

import re
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from benchapp.records.errors import WrongInput
from benchapp.sessions.exchange.csv_body import Table, read_table
from benchapp.sessions.exchange.csv_columns import read_csv
from benchapp.sessions.exchange.csv_layout import read_layout

NUMBER = re.compile(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?")
LIMIT = 1 << 62


def read_rows(text: str, *, unit: str = "s") -> Table:
    data = text.encode()
    return read_table(data, read_layout(data, file="t.csv", time=f"t:{unit}", skip=0), file="t.csv")


def ns(cell: str, exponent: int = 9) -> int:
    return round(Fraction(Decimal(cell)) * 10**exponent)


# -- stamps ------------------------------------------------------------------------------------------------------


@st.composite
def spelled_times(draw):
    """One number in one of the ways people and instruments write it: up to 30 digits, signs, zeros, exponents."""
    digits = draw(st.integers(0, 10 ** draw(st.sampled_from([1, 5, 12, 17, 18, 19, 30]))))
    places = draw(st.integers(0, 30))
    number = Decimal(draw(st.sampled_from([1, -1])) * digits).scaleb(-places)
    form = draw(st.sampled_from(["f", "e", "E", "+", "0", "5"]))
    if form in "eE":
        return format(number, form)
    text = format(number, "f")
    if form == "5":  # a tie where the places are those of the unit, and near one otherwise
        return f"{text}{'' if '.' in text else '.'}5"
    return text if number < 0 or form == "f" else form + text


@settings(max_examples=300, deadline=None)
@given(
    st.lists(spelled_times(), min_size=1, max_size=20),
    st.sampled_from([("s", 9), ("ms", 6), ("us", 3), ("ns", 0)]),
    st.booleans(),
    st.sampled_from(["", " "]),
)
@example(["0.0000000005", "0.0000000015", "0.00000000150000000000000000000001"], ("s", 9), False, "")
@example(["1764400000.123456", "1764400000.123457"], ("s", 9), True, "")
@example(["1764400000123456789", "1764400000123456790.5", "1764400000123456791.5"], ("ns", 0), False, " ")
@example(["4503599627370495.4999", "4503599627370495.5", "4503599627370496.5"], ("ns", 0), False, "")
def test_every_stamp_is_the_nearest_nanosecond_of_its_decimal(cells, unit, comma, space):
    name, exponent = unit
    cells = sorted((cell for cell in cells if abs(ns(cell, exponent)) < LIMIT), key=Decimal)
    if not cells:
        return
    separator = ";" if comma else ","
    lines = [f"{separator}{space}".join((cell, "1")).replace(".", "," if comma else ".") for cell in cells]
    table = read_rows("\n".join([f"t{separator}a", *lines]), unit=name)
    assert table.times_ns.tolist() == [ns(cell, exponent) for cell in cells]


# -- lines that cannot be read -----------------------------------------------------------------------------------

TIMES = st.integers(-3, 20).map(lambda number: f"{number}e-1")
CELLS = st.sampled_from(
    ["0", "1", "-0", "2.5", ".5", "5.", "+1", "1e3", "1E-3", "1e00002", "1e-99999", "", " ", "  1 ", " 0"]
)
ODD = st.sampled_from(
    ["nan", "inf", "1e999", "1_0", "0x1", "1 2", "1  2", "--1", "e5", ".", "-", "1e", "1.2.3", "a", "\t1", "1\x0b", "٣"]
)


@st.composite
def bodies(draw):
    """Lines of which most are sound: times that mostly grow, numbers, blanks, and now and then anything else."""
    times = iter(sorted(draw(st.lists(TIMES, min_size=25, max_size=25)), key=Decimal))
    lines = []
    for _ in range(draw(st.integers(1, 12))):
        kind = draw(st.sampled_from(["row"] * 12 + ["odd cell", "any time", "odd time", "width", "empty", "blanks"]))
        cells = [next(times), draw(CELLS), draw(CELLS)]
        if kind == "odd cell":
            cells[draw(st.integers(1, 2))] = draw(ODD)
        elif kind == "any time":
            cells[0] = draw(TIMES)
        elif kind == "odd time":
            cells[0] = draw(ODD | st.just(""))
        elif kind == "width":
            cells = cells[: draw(st.integers(1, 2))] if draw(st.booleans()) else [*cells, "1"]
        elif kind in ("empty", "blanks"):
            cells = [""] * (1 if kind == "empty" else 3)
        lines.append((",".join(cells), draw(st.sampled_from(["\n", "\n", "\r\n"]))))
    return "".join(line + end for line, end in lines)


def first_fault(body: str) -> tuple[int, str | None] | None:
    """The line and column of the first thing that cannot be read, the plain way; None where all is well."""
    last: int | None = None
    for line, row in enumerate(body.split("\n"), start=2):
        cells = [cell.strip(" \r") for cell in row.split(",")]
        if not any(cells):
            continue
        if len(cells) != 3:
            return line, None
        if not NUMBER.fullmatch(cells[0]) or abs(float(cells[0])) == float("inf"):
            return line, "t"
        stamp = ns(cells[0])
        if abs(stamp) >= LIMIT or (last is not None and stamp < last):
            return line, "t"
        last = stamp
        for name, cell in zip("ab", cells[1:], strict=True):
            if cell and (not NUMBER.fullmatch(cell) or abs(float(cell)) == float("inf")):
                return line, name
    return None


@settings(max_examples=500, deadline=None)
@given(bodies())
@example("0,1,1\n1,nan,1\n")
@example("0,1,1\n1,1_0,1\n")
@example("0,1,1\n1,1,1e999\n")
@example("0,1,1,1\n1,1,1,1\n")
@example("0,1\n1,1\n")
@example("0,1,1\n,,1\n")
@example("0,1,1\n\n,,\n1,1,1,\n")
def test_the_first_line_that_cannot_be_read_is_the_one_named(body):
    fault = first_fault(body)
    rows = [row.split(",") for row in body.split("\n") if row.strip(" \r,")]
    if not rows:
        return
    if fault is None:
        table = read_rows("t,a,b\n" + body)
        assert table.times_ns.tolist() == [ns(cells[0].strip(" \r")) for cells in rows]
        for place in (1, 2):
            seen = [(row, cells[place].strip(" \r")) for row, cells in enumerate(rows)]
            column = table.columns[place]
            assert list(zip(column.rows.tolist(), column.values.tolist(), strict=True)) == [
                (row, float(cell)) for row, cell in seen if cell
            ]
        return
    with pytest.raises(WrongInput) as caught:
        read_rows("t,a,b\n" + body)
    line, column_name = fault
    where = f"'t.csv', line {line}" + (f", column '{column_name}'" if column_name else "")
    assert caught.value.message.startswith(f"{where}: "), (where, caught.value.message)


def test_a_cell_of_very_many_spaces_or_digits_is_answered_at_once():
    text = "time_s,a\n0," + " " * 300_000 + "1\n1,1" + "0" * 300 + "\n2,1" + " " * 300_000 + "2\n"
    with pytest.raises(WrongInput, match=r"line 4, column 'a'"):
        read_csv(text.encode(), file="t.csv")
