"""Reading CSV files: exact times, states and volts, decimal commas, and everything that goes wrong."""

import csv
import io
import itertools
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchapp.records.errors import BenchError, WrongCall, WrongInput
from benchapp.sessions.exchange import csv_body
from benchapp.sessions.exchange.csv_columns import read_csv
from tests.sessions.exchange_reading import edges_of, gaps_of, levels_of


def read(text, **more):
    return read_csv(text.encode() if isinstance(text, str) else text, file="t.csv", **more)


def test_zeros_and_ones_are_edges_at_the_row_where_they_change():
    capture = read("time_s,switch,output\n0.0,0,1\n0.1,0,1\n0.2,1,1\n0.300000001,1,0\n")
    switch, output = capture.leads
    assert (switch.name, output.name) == ("switch", "output")
    assert (edges_of(switch), switch.initial) == ([(200_000_000, 1)], 0)
    assert (edges_of(output), output.initial) == ([(300_000_001, 0)], 1)
    assert (capture.start_ns, capture.stop_ns) == (0, 300_000_001)
    assert capture.started is None


def test_other_numbers_are_volts():
    capture = read("time_s,stick\n-0.5,0\n0,1\n0.25,2.5e0\n0.5,1.25\n")
    assert levels_of(capture.leads[0]) == [(-500_000_000, 0.0), (0, 1.0), (250_000_000, 2.5), (500_000_000, 1.25)]


def test_a_column_of_volts_is_so_from_its_first_row_however_late_it_shows():
    rows = "".join(f"{row},{row % 2}\n" for row in range(5000))
    capture = read("time_s,stick\n" + rows + "5000,0.5\n")
    assert levels_of(capture.leads[0])[:3] == [(0, 0.0), (10**9, 1.0), (2 * 10**9, 0.0)]
    assert capture.leads[0].levels.count == 5001


def test_a_blank_is_no_new_value():
    capture = read("time_s,a,b,c\n0,,0,1.5\n1,1,,\n2,,1,\n3,0,,2.5\n4,,,\n")
    a, b, c = capture.leads
    assert (a.initial, edges_of(a)) == (1, [(3 * 10**9, 0)])
    assert (b.initial, edges_of(b)) == (0, [(2 * 10**9, 1)])
    assert levels_of(c) == [(0, 1.5), (3 * 10**9, 2.5)]
    assert capture.stop_ns == 4 * 10**9


def test_rows_at_one_time_keep_their_order():
    assert edges_of(read("time_s,a\n0,0\n1,1\n1,0\n1,1\n").leads[0]) == [(10**9, 1), (10**9, 0), (10**9, 1)]


@pytest.mark.parametrize(
    ("time", "header", "cells", "ns"),
    [
        (None, "time_s", ["0.1", "0.2"], [100_000_000, 200_000_000]),
        ("t", "t", ["0.1", "0.2"], [100_000_000, 200_000_000]),
        ("t:s", "t", ["1e-3", "2e-3"], [1_000_000, 2_000_000]),
        ("t:ms", "t", ["0.0015", "2"], [1500, 2_000_000]),
        ("t:us", "t", ["0.0015", "2"], [2, 2000]),
        ("t:ns", "t", ["1.4", "2.6"], [1, 3]),
        ("t_ms", "t_ms", ["1", "2"], [1_000_000, 2_000_000]),
        ("Time (µs):µs", "Time (µs)", ["1", "2"], [1000, 2000]),
        ("a:ms", "a:ms", ["1", "2"], [10**9, 2 * 10**9]),
    ],
)
def test_the_time_column_has_the_name_and_the_unit_that_are_said(time, header, cells, ns):
    capture = read(f"{header},a\n{cells[0]},0\n{cells[1]},1\n", time=time)
    assert (capture.start_ns, capture.stop_ns) == (ns[0], ns[1])


def test_the_time_may_stand_anywhere():
    assert edges_of(read("a,time_s,b\n0,1,0\n1,2,1\n").leads[0]) == [(2 * 10**9, 1)]


def test_lines_before_the_header_can_be_passed_over():
    text = "Some instrument\nserial 5;a,b\n\ntime_s,a\n0,0\n1,1\nx,1\n"
    assert edges_of(read(text.replace("x,1\n", ""), skip=3).leads[0]) == [(10**9, 1)]
    with pytest.raises(WrongInput, match=r"line 7, column 'time_s'.*'x'"):
        read(text, skip=3)


@pytest.mark.parametrize(
    "text",
    [
        "time_s;a;v\n0,5;0;1,25\n1,5;1;-2,5\n",
        "time_s;a;v\n0.5;0;1.25\n1.5;1;-2.5\n",
        "time_s\ta\tv\n0,5\t0\t1,25\n1,5\t1\t-2,5\n",
        "time_s, a, v\n 0.5, 0, 1.25 \n 1.5 , 1,-2.5\n",
        "time_s,a,v\r\n0.5,0,1.25\r\n1.5,1,-2.5\r\n",
        "time_s,a,v\r0.5,0,1.25\r1.5,1,-2.5",
        '"time_s","a","v"\n"0.5","0","1.25"\n"1.5","1","-2.5"\n',
        '"time_s",a,"v"\n0.5,0,"1.25"\n\n1.5,1,-2.5\n\n\n',
        '"time_s";"a";"v"\n"0,5";0;"1,25"\n1,5;1;-2,5',
        "time_s,a,v\n0.5,0,1.25\n,,\n1.5,1,-2.5\n,,\n",
        "\ufefftime_s,a,v\n0.5,0,1.25\n1.5,1,-2.5\n",
        "time_s,a,v\n0.5,0.0,1.25\n1.5,1.000,-2.5\n",
    ],
)
def test_the_usual_ways_of_writing_the_same_read_the_same(text):
    capture = read(text)
    assert [lead.name for lead in capture.leads] == ["a", "v"]
    assert (capture.leads[0].initial, edges_of(capture.leads[0])) == (0, [(1_500_000_000, 1)])
    assert levels_of(capture.leads[1]) == [(500_000_000, 1.25), (1_500_000_000, -2.5)]


@pytest.mark.parametrize("encoding", ["utf-16", "utf-32", "latin-1"])
def test_text_of_other_encodings_is_taken(encoding):
    assert read("time_s,µ\n0,0\n1,1\n".encode(encoding)).leads[0].name == "µ"


def test_a_gap_column_makes_what_is_unknown_a_gap():
    text = "time_s,a,a gap,v,v gap\n0,0,0,1.5,\n1,1,,,1\n2,,1,,\n3,0,0,2.5,0\n4,1,,,\n"
    capture = read(text)
    a, v = capture.leads
    assert edges_of(a) == [(10**9, 1), (4 * 10**9, 1)]
    assert gaps_of(a) == [(2 * 10**9, 3 * 10**9)]
    assert gaps_of(v) == [(10**9, 3 * 10**9)]


# -- the tick ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("times", "tick_ns"),
    [
        (["0", "0.000001", "0.000002"], 1000.0),
        (["0.0005", "0.0025", "0.0105"], 2_000_000.0),
        (["0", "0.001", "0.00102"], 20_000.0),
        (["0", "0.000000041666", "0.000000083333", "0.000000125"], 125 / 3),
        (["5", "5"], 1.0),
        (["5"], 1.0),
        (["0", "0.000000001", "0.000000010"], 1.0),
    ],
)
def test_the_stamp_interval_is_what_the_times_give_away(times, tick_ns):
    text = "time_s,a\n" + "".join(f"{time},0\n" for time in times)
    assert read(text).tick_ns == pytest.approx(tick_ns, rel=1e-12)


# -- what goes wrong ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "line", "column", "words"),
    [
        ("time_s,a\n0,0\n0.1,abc\n", 3, "a", ["'abc'", "number"]),
        ("time_s,a\n0,0\nabc,1\n", 3, "time_s", ["'abc'", "time"]),
        ("time_s,a\n0,0\n,1\n", 3, "time_s", ["got nothing"]),
        ("time_s,a\n0,0\n0.2,1\n0.1,0\n", 4, "time_s", ["backwards", "'0.1'"]),
        ("time_s,a\n0,0\n0.1,1,0\n", 3, None, ["expected 2 cells", "got 3", "decimal commas"]),
        ("time_s,a\n0,0\n0.1\n", 3, None, ["expected 2 cells", "got 1"]),
        ("time_s,a\n0,0\n0,1,0\n", 3, None, ["; between"]),
        ("time_s,a\n0,0\n1e999,1\n", 3, "time_s", ["1e999"]),
        ("time_s,a\n0,0\n1,nan\n", 3, "a", ["nan"]),
        ("time_s,a\n0,0\n1,inf\n", 3, "a", ["inf"]),
        ("time_s,a\n0,0\n1,0x1\n", 3, "a", ["0x1"]),
        ("time_s,a\n0,0\n1,1 2\n", 3, "a", ["1 2"]),
        ("time_s;a\n0;0\n1;1.000,5\n", 3, "a", ["1.000,5"]),
        ("time_s,a,a\n0,0,0\n", 1, None, ["two columns", "'a'"]),
        ("time_s,a,\n0,0,0\n", 1, None, ["column 3", "name"]),
        ("t,a\n0,0\n", 1, None, ["time_s", "'t', 'a'", "--time"]),
        ("time_s\n0\n", 1, None, ["no column beside"]),
        ("0,0\n1,1\n", 1, None, ["time_s"]),
        ('time_s,a\n0,0\n\n\n1,"1\n2,1\n', 5, None, ["quote"]),
        ('time_s,a\n0,0\n1,"1"x\n', 3, None, ["quote"]),
        ("time_s,a\n0,0\n1,=1+1\n", 3, "a", ["'=1+1'"]),
        ("time_s,a\n0,0\n1,0\x00\n", 3, None, ["NUL"]),
        ("time_s,a\n" + "".join(f"{row},0\n" for row in range(200_000)) + "200000,q\n", 200_002, "a", ["'q'"]),
        ("time_s,a\n" + "".join(f'{row},"0"\n\n' for row in range(300)) + "300,q\n", 602, "a", ["'q'"]),
        ("time_s,a\r\n0,0\r\n\r\n0.1,abc\r\n", 4, "a", ["'abc'"]),
    ],
)
def test_a_bad_cell_is_named_with_line_column_and_reason(text, line, column, words):
    with pytest.raises(WrongInput) as caught:
        read(text)
    message = caught.value.message
    where = f"'t.csv', line {line}" + (f", column '{column}'" if column else "")
    assert message.startswith(f"{where}: "), message
    assert all(word in message for word in words), message


@pytest.mark.parametrize(
    ("text", "words"),
    [("", ["empty"]), ("time_s,a\n", ["no row"]), ("time_s,a", ["no row"]), ("time_s,a\n\n\n", ["no row"])],
)
def test_a_file_without_rows_is_refused_in_words(text, words):
    with pytest.raises(WrongInput) as caught:
        read(text)
    assert all(word in caught.value.message for word in words)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"time": "clock"}, ["'clock'", "'time_s', 'a'"]),
        ({"time": "time_s:min"}, ["'time_s:min'", "s, ms, us or ns"]),
        ({"skip": 9}, ["9", "3 lines"]),
    ],
)
def test_a_time_or_skip_that_fits_nothing_is_a_wrong_call(more, words):
    with pytest.raises(WrongCall) as caught:
        read("time_s,a\n0,0\n1,1", **more)
    assert all(word in caught.value.message for word in words), caught.value.message


# -- against the plain way ---------------------------------------------------------------------------------------

_NUMBERS = st.decimals(min_value=-5, max_value=5, places=3).map(str)
_CELLS = st.sampled_from(["0", "1", "", "0", "1"])


@st.composite
def tables(draw):
    rows = draw(st.integers(1, 30))
    steps = draw(st.lists(st.decimals(0, 2, places=draw(st.integers(0, 12))), min_size=rows, max_size=rows))
    times, now = [], Decimal(draw(st.integers(-10, 10)))
    for step in steps:
        now += step
        times.append(str(now))
    on_off = draw(st.lists(_CELLS, min_size=rows, max_size=rows))
    volts = draw(st.lists(_NUMBERS | st.just(""), min_size=rows, max_size=rows))
    return list(zip(times, on_off, volts, strict=True))


@settings(max_examples=200, deadline=None)
@given(tables(), st.booleans(), st.booleans(), st.integers(1, 200))
def test_any_table_reads_as_the_plain_way_at_any_cut(rows, quote_some, semicolons, size):
    out = io.StringIO()
    separator = ";" if semicolons else ","
    writer = csv.writer(out, delimiter=separator, lineterminator="\n")
    writer.writerow(["time_s", "a", "v"])
    for row in rows:
        writer.writerow([cell.replace(".", ",") if semicolons else cell for cell in row])
    text = out.getvalue()
    if quote_some:
        lines = text.split("\n")
        middle = len(lines) // 2
        lines[middle] = separator.join(f'"{cell}"' if cell else cell for cell in lines[middle].split(separator))
        text = "\n".join(lines)
    chunk = csv_body._PIECE
    try:
        csv_body._PIECE = size
        capture = read(text)
    finally:
        csv_body._PIECE = chunk
    stamps = [round(Fraction(Decimal(time)) * 10**9) for time, _, _ in rows]
    states = [(stamp, int(cell)) for stamp, (_, cell, _) in zip(stamps, rows, strict=True) if cell]
    samples = [(stamp, float(cell)) for stamp, (_, _, cell) in zip(stamps, rows, strict=True) if cell]
    on_off, volts = capture.leads
    assert edges_of(on_off) == [now for before, now in itertools.pairwise(states) if now[1] != before[1]]
    assert on_off.initial == (states[0][1] if states else None)
    if volts.levels is not None:
        assert levels_of(volts) == samples
    else:
        assert all(value in (0.0, 1.0) for _, value in samples)
    assert (capture.start_ns, capture.stop_ns) == (stamps[0], stamps[-1])


@settings(max_examples=300, deadline=None)
@given(st.binary(max_size=200) | st.text(alphabet='01.,;"\n\t -e', max_size=120).map(str.encode), st.integers(0, 3))
def test_no_rows_give_a_traceback(body, skip):
    try:
        capture = read(b"x\n" * skip + b"time_s,a\n0,0\n" + body, skip=skip)
    except BenchError:
        return
    assert np.all(np.diff([capture.start_ns, capture.stop_ns]) >= 0)
