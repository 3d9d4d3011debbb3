"""Reading VCD files (IEEE 1364): against two libraries, against the naive way, and with everything that goes wrong."""

import contextlib
import io
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from vcd.reader import TokenKind, tokenize
from vcdvcd import VCDVCD

from benchapp.records.errors import WrongInput
from benchapp.sessions.exchange import vcd_body
from benchapp.sessions.exchange.capture import Capture
from benchapp.sessions.exchange.vcd import read_vcd
from tests.sessions.exchange_reading import edges_of, gaps_of, levels_of

# Written by hand to the grammar of IEEE 1364 (clause on value change dump files): two scalars and a real, 1 us ticks.
SMALL = b"""$date 2026-01-01 $end
$version bench $end
$comment two scalar lines, 1 us ticks $end
$timescale 1 us $end
$scope module bench $end
$var wire 1 ! switch $end
$var wire 1 " servo $end
$var real 64 # horn $end
$upscope $end
$enddefinitions $end
#0
$dumpvars
0!
0"
r0 #
$end
#100
1!
#7300
1"
#8800
0"
r12.5 #
"""


def vcd(body: str, *, scale: str = "1 ns", variables: str = "$var wire 1 ! a $end") -> bytes:
    return f"$timescale {scale} $end\n{variables}\n$enddefinitions $end\n{body}".encode()


def body_line(lines_into_body: int) -> int:
    """The file's line number of a line of a `vcd(...)` body, counted from 1."""
    return 3 + lines_into_body


# -- the small file ----------------------------------------------------------------------------------------------


def test_the_small_file_s_states_edges_and_volts():
    capture = read_vcd(SMALL, file="small.vcd")
    assert [lead.scoped_name for lead in capture.leads] == ["bench.switch", "bench.servo", "bench.horn"]
    assert edges_of(capture.leads[0]) == [(100_000, 1)]
    assert edges_of(capture.leads[1]) == [(7_300_000, 1), (8_800_000, 0)]
    assert levels_of(capture.leads[2]) == [(0, 0.0), (8_800_000, 12.5)]
    assert capture.leads[0].initial == 0
    assert (capture.start_ns, capture.stop_ns, capture.tick_ns) == (0, 8_800_000, 1000.0)
    assert capture.started == "2026-01-01"
    assert all(not lead.gaps for lead in capture.leads)


def rows_by_pyvcd(data: bytes) -> dict[str, list[tuple[int, str]]]:
    rows: dict[str, list[tuple[int, str]]] = {}
    now = 0
    for token in tokenize(io.BytesIO(data)):
        match token.kind:
            case TokenKind.CHANGE_TIME:
                now = token.time_change
            case TokenKind.CHANGE_SCALAR:
                rows.setdefault(token.scalar_change.id_code, []).append((now, token.scalar_change.value))
            case TokenKind.CHANGE_REAL:
                rows.setdefault(token.real_change.id_code, []).append((now, repr(token.real_change.value)))
            case _:
                pass
    return rows


def rows_by_vcdvcd(data: bytes, folder: Path) -> dict[str, list[tuple[int, str]]]:
    path = folder / "same.vcd"
    path.write_bytes(data)
    signals = VCDVCD(str(path)).data
    return {
        code: [(time, repr(float(value)) if signal.var_type == "real" else value) for time, value in signal.tv]
        for code, signal in signals.items()
        if signal.tv
    }


def changes_of(rows: list[tuple[int, str]], tick_ns: int) -> list[tuple[int, int]]:
    """Edges the naive way: one row after another."""
    edges, state = [], None
    for tick, value in rows:
        if value in "01" and state in (0, 1) and int(value) != state:
            edges.append((tick * tick_ns, int(value)))
        state = int(value) if value in "01" else None
    return edges


def assert_same_as_rows(capture: Capture, rows: dict[str, list[tuple[int, str]]], tick_ns: int) -> None:
    for lead in capture.leads:
        seen = rows.get(lead.source, [])
        if lead.edges is not None:
            assert edges_of(lead) == changes_of(seen, tick_ns)
        else:
            assert levels_of(lead) == [(tick * tick_ns, float(value)) for tick, value in seen]


def test_two_other_readers_find_the_same_in_the_small_file(tmp_path):
    capture = read_vcd(SMALL, file="small.vcd")
    assert rows_by_pyvcd(SMALL) == rows_by_vcdvcd(SMALL, tmp_path)
    assert_same_as_rows(capture, rows_by_pyvcd(SMALL), 1000)


@pytest.mark.parametrize("seed", range(6))
def test_two_other_readers_find_the_same_in_made_files(seed, tmp_path):
    rng = np.random.default_rng(seed)
    wires = ["!", '"', "%&", "ab1"][: 2 + seed % 3]
    header = "".join(f"$var wire 1 {code} w{place} $end\n" for place, code in enumerate(wires))
    lines = [
        f"$timescale 10 us $end\n$scope module top $end\n{header}$var real 64 r volts $end\n"
        "$upscope $end\n$enddefinitions $end"
    ]
    tick = int(rng.integers(0, 50))
    for _ in range(500):
        tick += int(rng.integers(0, 5))
        lines.append(f"#{tick}")
        for _ in range(int(rng.integers(0, 4))):
            if rng.random() < 0.2:
                lines.append(f"r{float(rng.normal()):.16g} r")
            else:
                lines.append(f"{rng.choice(list('0011xz'))}{rng.choice(wires)}")
    data = "\n".join([*lines, ""]).encode()
    capture = read_vcd(data, file="made.vcd")
    by_pyvcd, by_vcdvcd = rows_by_pyvcd(data), rows_by_vcdvcd(data, tmp_path)
    assert_same_as_rows(capture, by_pyvcd, 10_000)
    assert_same_as_rows(capture, by_vcdvcd, 10_000)
    assert sum(lead.edges.count for lead in capture.leads if lead.edges is not None) > 50


# -- time --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("blank", ["", " ", "\n\t "])
@pytest.mark.parametrize(("unit", "exponent"), [("s", 9), ("ms", 6), ("us", 3), ("ns", 0), ("ps", -3), ("fs", -6)])
@pytest.mark.parametrize("magnitude", [1, 10, 100])
def test_every_timescale_gives_the_nearest_nanosecond(magnitude, unit, exponent, blank):
    ticks = [0, 1, 5, 149, 1500, 2500, 12_345_678]
    body = "".join(f"#{tick}\n{place % 2}!\n" for place, tick in enumerate(ticks))
    capture = read_vcd(vcd(body, scale=f"{magnitude}{blank}{unit}"), file="t.vcd")
    tick_ns = magnitude * Fraction(10) ** exponent
    assert [time for time, _ in edges_of(capture.leads[0])] == [round(tick * tick_ns) for tick in ticks[1:]]
    assert capture.tick_ns == pytest.approx(float(tick_ns), rel=1e-15)


def test_long_captures_of_femtoseconds_are_exact():
    ticks = [0, 999_999_999_999_999_999, 1_000_000_000_000_500_001, 9_000_000_000_000_000_000]
    body = "".join(f"#{tick}\n{place % 2}!\n" for place, tick in enumerate(ticks))
    capture = read_vcd(vcd(body, scale="1 fs"), file="t.vcd")
    assert [time for time, _ in edges_of(capture.leads[0])] == [round(Fraction(tick, 10**6)) for tick in ticks[1:]]


def test_times_before_zero_are_taken():
    capture = read_vcd(vcd("#-5000\n0!\n#-20\n1!\n#7\n0!\n"), file="t.vcd")
    assert edges_of(capture.leads[0]) == [(-20, 1), (7, 0)]
    assert capture.start_ns == -5000


def test_the_last_time_counts_even_with_nothing_behind_it():
    assert read_vcd(vcd("#5\n0!\n#900\n"), file="t.vcd").stop_ns == 900


def test_values_before_the_first_time_stand_at_zero():
    capture = read_vcd(vcd("$dumpvars\n1!\n$end\n#500\n0!\n"), file="t.vcd")
    assert (capture.start_ns, capture.leads[0].initial) == (0, 1)
    assert edges_of(capture.leads[0]) == [(500, 0)]


# -- values ------------------------------------------------------------------------------------------------------


def test_the_first_value_is_a_state_wherever_it_comes():
    capture = read_vcd(vcd("#0\n#40\n1!\n#50\n0!\n"), file="t.vcd")
    assert capture.leads[0].initial == 1
    assert edges_of(capture.leads[0]) == [(50, 0)]


@pytest.mark.parametrize("unknown", ["x", "X", "z", "Z"])
def test_an_unknown_state_is_a_gap_and_what_follows_it_a_state(unknown):
    capture = read_vcd(vcd(f"#0\n0!\n#10\n1!\n#20\n{unknown}!\n#30\n0!\n#40\n1!\n#50\n"), file="t.vcd")
    assert edges_of(capture.leads[0]) == [(10, 1), (40, 1)]
    assert gaps_of(capture.leads[0]) == [(20, 30)]


def test_a_state_unknown_to_the_end_is_a_gap_to_the_last_time():
    capture = read_vcd(vcd("#0\nx!\n#5\n1!\n#10\nx!\n#11\nz!\n#70\n"), file="t.vcd")
    assert gaps_of(capture.leads[0]) == [(0, 5), (10, 70)]
    assert edges_of(capture.leads[0]) == []
    assert capture.leads[0].initial == 1


def test_dumpoff_is_a_gap_until_dumpon():
    capture = read_vcd(vcd("#0\n1!\n#10\n$dumpoff\nx!\n$end\n#90\n$dumpon\n0!\n$end\n#95\n1!\n"), file="t.vcd")
    assert gaps_of(capture.leads[0]) == [(10, 90)]
    assert edges_of(capture.leads[0]) == [(95, 1)]


def test_a_repeated_value_is_nothing_new():
    capture = read_vcd(vcd("#0\n0!\n#5\n0!\n#9\n1!\n#12\n$dumpall\n1!\n$end\n#20\n0!\n"), file="t.vcd")
    assert edges_of(capture.leads[0]) == [(9, 1), (20, 0)]


def test_two_changes_at_one_time_are_two_edges():
    assert edges_of(read_vcd(vcd("#0\n0!\n#9\n1!\n0!\n"), file="t.vcd").leads[0]) == [(9, 1), (9, 0)]


def test_values_may_share_a_line_with_their_time():
    variables = '$var wire 1 ! a $end $var wire 1 " b $end'
    capture = read_vcd(vcd('#0 0! 1"\n#7 1! 0"\t#9 0!', variables=variables), file="t.vcd")
    assert edges_of(capture.leads[0]) == [(7, 1), (9, 0)]
    assert edges_of(capture.leads[1]) == [(7, 0)]


def test_line_ends_of_other_systems_change_nothing():
    plain = read_vcd(SMALL, file="t.vcd")
    for other in (SMALL.replace(b"\n", b"\r\n"), SMALL.replace(b"\n", b"\r"), b"\xef\xbb\xbf" + SMALL):
        capture = read_vcd(other, file="t.vcd")
        assert [edges_of(lead) for lead in capture.leads[:2]] == [edges_of(lead) for lead in plain.leads[:2]]


def test_wide_text_with_its_mark_is_taken():
    capture = read_vcd(SMALL.decode().encode("utf-16"), file="t.vcd")
    assert edges_of(capture.leads[0]) == [(100_000, 1)]


REALS = [
    *("0", "-0.5", "+3.25", "1e-05", "12.5E3", ".5", "7.", "3.141592653589793", "1e-320", "2.2250738585072011e-308"),
    *("0.1234567890123456789012345", "123456789012345678901234567890"),
]


@pytest.mark.parametrize("text", REALS)
def test_reals_are_the_nearest_double(text):
    capture = read_vcd(vcd(f"#0\nr{text} v\n#1\nR{text} v\n", variables="$var real 64 v volts $end"), file="t.vcd")
    assert levels_of(capture.leads[0]) == [(0, float(text)), (1, float(text))]


def test_a_real_that_is_no_number_is_a_gap():
    body = "#0\nr1.5 v\n#10\nrnan v\n#12\nrNaN v\n#20\nr2 v\n#30\nrnan v\n#40\n"
    capture = read_vcd(vcd(body, variables="$var real 64 v volts $end"), file="t.vcd")
    assert levels_of(capture.leads[0]) == [(0, 1.5), (20, 2.0)]
    assert gaps_of(capture.leads[0]) == [(10, 20), (30, 40)]


def test_identifiers_that_look_like_values_are_told_by_their_place():
    variables = "\n".join(
        f"$var real 64 {code} v{place} $end" for place, code in enumerate(["r1", "b", "#5", "0", "$x"])
    )
    body = "#0\nr1 r1 r2 b r3 #5\nr4 0 r5 $x\n#1\nr6 r1\nr7 r1\n"
    capture = read_vcd(vcd(body, variables=variables), file="t.vcd")
    assert [levels_of(lead) for lead in capture.leads] == [
        [(0, 1.0), (1, 6.0), (1, 7.0)],
        [(0, 2.0)],
        [(0, 3.0)],
        [(0, 4.0)],
        [(0, 5.0)],
    ]


def test_comments_between_the_values_are_passed_over():
    body = "#0\n0!\n$comment #99 1! rubbish\nb101 $end\n#5\n1!\n"
    assert edges_of(read_vcd(vcd(body), file="t.vcd").leads[0]) == [(5, 1)]


def test_one_bit_strings_count_as_the_wire_s_value():
    assert edges_of(read_vcd(vcd("#0\nb0 !\n#3\n1!\n#4\nB0 !\n"), file="t.vcd").leads[0]) == [(3, 1), (4, 0)]


def test_long_identifiers_are_found():
    codes = ["!", "abc", "abcd", "abcdefgh", "abcdefghi", "abcdefghij0123456789"]
    variables = "\n".join(f"$var wire 1 {code} w{place} $end" for place, code in enumerate(codes))
    body = "#0\n" + "".join(f"0{code}\n" for code in codes)
    body += "".join(f"#{place + 1}\n1{code}\n" for place, code in enumerate(codes))
    capture = read_vcd(vcd(body, variables=variables), file="t.vcd")
    assert [edges_of(lead) for lead in capture.leads] == [[(place + 1, 1)] for place in range(len(codes))]


def test_many_variables_keep_their_own_edges():
    letters = [chr(33 + place) for place in range(94) if chr(33 + place) not in "$#"]
    codes = [first + second for first in letters[:10] for second in letters[:10]]
    variables = "\n".join(f"$var wire 1 {code} w{place} $end" for place, code in enumerate(codes))
    body = "#0\n" + "".join(f"0{code}\n" for code in codes)
    body += "".join(f"#{7 * place + 1}\n1{code}\n" for place, code in enumerate(codes))
    capture = read_vcd(vcd(body, variables=variables), file="t.vcd")
    assert [edges_of(lead) for lead in capture.leads] == [[(7 * place + 1, 1)] for place in range(len(codes))]


# -- names -------------------------------------------------------------------------------------------------------


def test_two_names_on_one_identifier_hold_the_same():
    variables = "$scope module a $end $var wire 1 ! s $end $upscope $end $scope module b $end $var wire 1 ! t $end"
    capture = read_vcd(vcd("#0\n0!\n#4\n1!\n", variables=variables), file="t.vcd")
    assert [lead.scoped_name for lead in capture.leads] == ["a.s", "b.t"]
    assert edges_of(capture.leads[0]) == edges_of(capture.leads[1]) == [(4, 1)]
    assert [lead.edges.lead for lead in capture.leads if lead.edges is not None] == [0, 1]


def test_bit_indices_belong_to_the_name():
    variables = "$var wire 1 ! bus [3] $end $var wire 1 % bus[2] $end $var wire 1 & two words $end"
    names = [lead.name for lead in read_vcd(vcd("#0\n0!\n", variables=variables), file="t.vcd").leads]
    assert names == ["bus[3]", "bus[2]", "two words"]


def test_vectors_events_and_texts_are_no_leads_and_say_why():
    variables = "$var wire 8 v bus [7:0] $end $var event 1 e go $end $var string 1 t msg $end $var wire 1 ! a $end"
    capture = read_vcd(vcd("#0\nb101 v\n1e\nshello t\n0!\n#3\nbx v\n1!\n", variables=variables), file="t.vcd")
    assert [lead.name for lead in capture.leads] == ["a"]
    assert edges_of(capture.leads[0]) == [(3, 1)]
    reasons = {unread.name: unread.reason for unread in capture.unread}
    assert set(reasons) == {"bus[7:0]", "go", "msg"}
    assert "8 bits" in reasons["bus[7:0]"]


@pytest.mark.parametrize(
    ("date", "started"),
    [
        ("2026-01-01", "2026-01-01"),
        ("2026-02-28 13:05:09", "2026-02-28T13:05:09"),
        ("2026-02-28T13:05:09.25+01:00", "2026-02-28T13:05:09.25+01:00"),
        ("2024-02-29T00:00Z", "2024-02-29T00:00Z"),
        ("2026-02-29", None),
        ("2026-13-01", None),
        ("Tue Jan 6 13:05:09 2026", None),
        ("01/02/2026", None),
        ("", None),
    ],
)
def test_only_an_iso_date_says_when_it_started(date, started):
    assert read_vcd(f"$date {date} $end\n".encode() + vcd("#0\n0!\n"), file="t.vcd").started == started


# -- what goes wrong ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("body", "line", "words"),
    [
        ("#0\n0!\nhello\n", 3, ["hello", "expected"]),
        ("#0\n0!\n#5\n1?\n", 4, ["'?'", "$var"]),
        ("#0\n0!\n#5\n1\n", 4, ["identifier"]),
        ("#0\n0!\n#5\n1!\n#4\n0!\n", 5, ["backwards", "#5", "#4"]),
        ("#0\n0!\n#12a\n", 3, ["#12a", "whole number"]),
        ("#0\n0!\n#\n", 3, ["'#'"]),
        ("#0\n0!\n#1.5\n", 3, ["#1.5"]),
        ("#0\n0!\n#99999999999999999999\n", 3, ["64 bits"]),
        ("#0\n0!\n$dumpwhat\n", 3, ["$dumpwhat"]),
        ("#0\n0!\n#1\n$comment never closed\n", 4, ["never closed"]),
        ("#0\n0!\nr1.5 !\n", 3, ["0, 1, x, z"]),
        ("#0\n0!\nb10 !\n", 3, ["0, 1, x, z"]),
        ("#0\n0!\nr1.5 v\nrabc v\n", 4, ["rabc", "number"]),
        ("#0\n0!\nrinf v\n", 3, ["rinf", "finite"]),
        ("#0\n0!\n#2\n0v\n", 4, ["real"]),
        ("#0\n0!\n#2\nb0 v\n", 4, ["real"]),
        ("#0\n0!\n\n\n#2\nr1.5", 6, ["r1.5", "identifier"]),
        ("#0\n0!\n#2\n1!\x00\n", 4, ["NUL"]),
        ("#0\n0!\n#2\n1!\x07\n", 4, ["byte of value 7"]),
        ("#0\n0!\n#7\n1!\nrubbish\n#3\n", 5, ["rubbish"]),
    ],
)
def test_a_bad_line_is_named_with_its_number_and_reason(body, line, words):
    variables = "$var wire 1 ! a $end $var real 64 v volts $end"
    with pytest.raises(WrongInput) as caught:
        read_vcd(vcd(body, variables=variables), file="bench.vcd")
    message = caught.value.message
    assert message.startswith(f"'bench.vcd', line {body_line(line)}: ")
    assert all(word in message for word in words)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", ["empty"]),
        (b"  \r\n\n", ["empty"]),
        (b"time_s,switch\n0,1\n", ["line 1", "time_s,switch", "VCD"]),
        (b"$timescale 1 ns $end\n$var wire 1 ! a $end\n#0\n", ["line 3", "#0"]),
        (b"$timescale 1 ns $end\n$var wire 1 ! a $end\n", ["$enddefinitions"]),
        (b"$timescale 1 ns $end\n$var wire 1 ! a\n", ["line 2", "$var", "never closed"]),
        (b"$timescale 3 ns $end\n$enddefinitions $end\n", ["line 1", "1, 10 or 100"]),
        (b"$timescale 1 min $end\n$enddefinitions $end\n", ["line 1", "min"]),
        (b"$date $end\n$var wire 1 ! a $end\n$enddefinitions $end\n#0\n", ["line 3", "$timescale"]),
        (b"$timescale 1 ns $end\n$timescale 1 us $end\n$enddefinitions $end\n", ["line 2", "second $timescale"]),
        (b"$timescale 1 ns $end\n$enddefinitions $end\n#0\n", ["$var"]),
        (b"$timescale 1 ns $end\n$var wire 1 ! a $end\n$enddefinitions $end\n", ["nothing was captured"]),
        (b"$timescale 1 ns $end\n$var wire 1 ! $end\n$enddefinitions $end\n", ["line 2", "$var"]),
        (b"$timescale 1 ns $end\n$var wire one ! a $end\n$enddefinitions $end\n", ["line 2", "'one'", "width"]),
        (b"$timescale 1 ns $end\n$var wire 0 ! a $end\n$enddefinitions $end\n", ["line 2", "width"]),
        ("$timescale 1 ns $end\n$var wire 1 é a $end\n$enddefinitions $end\n".encode(), ["line 2", "ASCII"]),
        (b"$timescale 1 ns $end\n$upscope $end\n$enddefinitions $end\n", ["line 2", "$upscope"]),
        (b"$timescale 1 ns $end\n$var wire 1 ! a $end\n$var real 1 ! b $end\n$enddefinitions $end\n", ["share"]),
        (b"SQLite format 3\x00" + bytes(90), ["NUL"]),
        (b"\xff\xfea", ["UTF-16"]),
        (b"$timescale 100 s $end\n$var wire 1 ! a $end\n$enddefinitions $end\n#0\n0!\n#999999999\n", ["146 years"]),
    ],
)
def test_a_file_that_is_no_such_capture_is_refused_in_words(data, words):
    with pytest.raises(WrongInput) as caught:
        read_vcd(data, file="bench.vcd")
    assert all(word in caught.value.message for word in words), caught.value.message


def test_hostile_text_in_a_file_is_shown_inert():
    with pytest.raises(WrongInput) as caught:
        read_vcd(vcd("#0\n0!\n" + "\u202e\u0007evil".replace("\u0007", "") + "x" * 10_000 + "\n"), file="a\x1b[31m.vcd")
    message = caught.value.message
    assert "\u202e" not in message
    assert "\x1b" not in message
    assert len(message) < 400


def test_a_width_of_many_digits_is_no_trouble():
    variables = f"$var wire {'9' * 5000} ! a $end $var wire 1 % b $end"
    assert [unread.name for unread in read_vcd(vcd("#0\n0%\n", variables=variables), file="t.vcd").unread] == ["a"]


# -- cutting -----------------------------------------------------------------------------------------------------

_VALUES = st.sampled_from(["0!", "1!", "x!", '0"', '1"', 'z"', "r1.5 #", "r-2e-3 #", "b1 !", "b1010 vec", "r0 #"])


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 40), st.lists(_VALUES, max_size=4)), min_size=1, max_size=30),
    st.sampled_from(["\n", " ", "\r\n", "\n\n"]),
    st.integers(1, 64),
)
def test_any_cut_of_the_text_reads_the_same(steps, blank, size):
    variables = '$var wire 1 ! a $end $var wire 1 " b $end $var real 64 # c $end $var reg 4 vec d $end'
    tick, words = 0, []
    for step, values in steps:
        tick += step
        words += [f"#{tick}", *values]
    data = vcd(blank.join(words) + blank, variables=variables)
    whole = read_vcd(data, file="t.vcd")
    chunk = vcd_body._CHUNK
    try:
        vcd_body._CHUNK = size
        cut = read_vcd(data, file="t.vcd")
    finally:
        vcd_body._CHUNK = chunk
    rows = rows_by_pyvcd(data)
    rows["!"] = _with_bit_strings(words)
    assert_same_as_rows(whole, rows, 1)
    for one, other in zip(whole.leads, cut.leads, strict=True):
        if one.edges is not None:
            assert edges_of(one) == edges_of(other)
        else:
            assert levels_of(one) == levels_of(other)
        assert gaps_of(one) == gaps_of(other)
    assert (whole.start_ns, whole.stop_ns) == (cut.start_ns, cut.stop_ns)


def _with_bit_strings(words: list[str]) -> list[tuple[int, str]]:
    """The rows of wire !, of which the library passes bit strings on as vectors."""
    rows, now = [], 0
    for word in words:
        if word.startswith("#"):
            now = int(word[1:])
        elif word.endswith("!"):
            rows.append((now, "1" if word == "b1 !" else word[0]))
    return rows


@settings(max_examples=300, deadline=None)
@given(st.binary(max_size=300) | st.text(alphabet='#01xr!"$ \nb.5end', max_size=200).map(str.encode))
def test_no_body_gives_a_traceback(body):
    capture = None
    with contextlib.suppress(WrongInput):
        capture = read_vcd(vcd("#0\n0!\n") + body, file="t.vcd")
    assert capture is None or capture.stop_ns >= capture.start_ns
