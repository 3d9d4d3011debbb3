"""Decimal numbers out of bytes: against Python's own decimals, fractions and floats."""

from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchapp.sessions.exchange.decimals import (
    PAD,
    float_of,
    floats,
    nearest_ns,
    ns_of,
    rounded_division,
    whole_numbers,
    words_of,
)


def laid_out(fields: list[bytes]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Fields one after another in one text, with their starts and ends."""
    text, starts, ends = b" " * PAD, [], []
    for field in fields:
        starts.append(len(text))
        text += field
        ends.append(len(text))
        text += b"7"  # a digit right behind: reading past an end would show
    return (
        np.frombuffer(text + b" " * PAD, dtype=np.uint8),
        np.array(starts, dtype=np.int64),
        np.array(ends, dtype=np.int64),
    )


plain = st.from_regex(rb"[+-]?([0-9]{1,12}\.?[0-9]{0,9}|\.[0-9]{1,9})([eE][+-]?[0-9]{1,2})?", fullmatch=True)
long = st.from_regex(rb"[+-]?[0-9]{0,30}\.[0-9]{1,30}", fullmatch=True)
junk = st.binary(max_size=12)


@settings(max_examples=200, deadline=None)
@given(st.lists(plain | long, min_size=1, max_size=40))
def test_floats_are_the_nearest_doubles(fields):
    values, wrong = floats(*laid_out(fields))
    assert wrong.size == 0
    assert values.tolist() == [float(field) for field in fields]


@settings(max_examples=300, deadline=None)
@given(
    st.lists(
        plain | junk | st.sampled_from([b"", b"-", ".", b"1e", b"e5", b"1.2.3", b"--1", b"1-", b"1\x002"]), max_size=20
    )
)
def test_what_is_no_number_is_named_and_nothing_else(fields):
    fields = [field if isinstance(field, bytes) else field.encode() for field in fields]
    values, wrong = floats(*laid_out(fields))
    assert wrong.tolist() == [row for row, field in enumerate(fields) if float_of(field) is None]
    good = [row for row in range(len(fields)) if row not in set(wrong.tolist())]
    assert [values[row] for row in good] == [float(fields[row]) for row in good]


def near_a_half(draw_int: int, offset: str) -> bytes:
    """Half a nanosecond behind a whole one, in seconds, and a little more, or exactly that."""
    whole, rest = divmod(draw_int, 10**9)
    return f"{whole}.{rest:09d}5{offset}".encode()


halves = st.builds(
    near_a_half, st.integers(0, 10**16), st.sampled_from(["", "1", "0000000001", "000000000000000000000001"])
)


@settings(max_examples=300, deadline=None)
@given(st.lists(plain | long | halves, min_size=1, max_size=40), st.sampled_from([9, 6, 3, 0]))
def test_stamps_are_the_nearest_nanosecond_exactly(fields, exponent):
    values, sure = nearest_ns(np.array([float(field) for field in fields]), exponent)
    for field, value, is_sure in zip(fields, values.tolist(), sure.tolist(), strict=True):
        exact = round(Fraction(Decimal(field.decode())) * 10**exponent)
        if is_sure:
            assert value == exact
        one_by_one = ns_of(field, exponent)
        assert one_by_one == exact or (one_by_one is None and abs(exact) >= 1 << 62)


@given(st.lists(st.integers(-(10**14), 10**14), min_size=1))
def test_a_day_of_whole_nanoseconds_is_sure_at_once(stamps):
    times = np.array([float(Decimal(stamp).scaleb(-9)) for stamp in stamps])
    values, sure = nearest_ns(times, 9)
    assert sure.all()
    assert values.tolist() == stamps


def test_what_is_no_finite_double_is_never_a_sure_stamp():
    assert not nearest_ns(np.array([np.nan, np.inf, -np.inf, 1e300, 1e17]), 9)[1].any()


@pytest.mark.parametrize(
    ("text", "exponent", "ns"),
    [
        (b"0.1", 9, 100_000_000),
        (b"-0.3", 9, -300_000_000),
        (b"0.0000000005", 9, 0),
        (b"0.0000000015", 9, 2),
        (b"0.00000000051", 9, 1),
        (b"123456.789012345", 9, 123_456_789_012_345),
        (b"1e-9", 9, 1),
        (b"2.5E3", 0, 2500),
        (b"1e-400", 9, 0),
        (b"0e9999", 9, 0),
        (b"0e99999999999999999999", 9, 0),
        (b"1e-99999999999999999999", 9, 0),
        (b"1e99999999999999999999", 9, None),
        (b"4611686018.427387903", 9, 2**62 - 1),
        (b"4611686018.427387904", 9, None),
        (b"0.00000000050000000000000000000000000000000000000001", 9, 1),
        (b"1e400", 9, None),
        (b"99999999999", 9, None),
        (b"nan", 9, None),
        (b"1_000", 9, None),
        ("١٢".encode(), 9, None),
        (b" 1", 9, None),
        (b"0x10", 9, None),
    ],
)
def test_a_stamp_is_never_a_float(text, exponent, ns):
    assert ns_of(text, exponent) == ns


def test_a_decimal_comma_counts_only_where_it_may():
    assert [float_of(field, comma=True) for field in (b"0,25", b"1,5e1")] == [0.25, 15.0]
    assert ns_of(b"0,25", 9, comma=True) == 250_000_000
    assert floats(*laid_out([b"0,25", b"1,5e1"]))[1].tolist() == [0, 1]
    assert ns_of(b"0,25", 9) is None
    assert float_of(b"1,234.5", comma=True) is None


@settings(max_examples=200, deadline=None)
@given(st.lists(st.integers(0, 10**20).map(lambda n: str(n).encode()) | junk, min_size=1, max_size=30))
def test_whole_numbers_are_plain_digits_up_to_eighteen(fields):
    text, starts, ends = laid_out(fields)
    values, good = whole_numbers(words_of(text), starts, ends)
    for field, value, is_good in zip(fields, values.tolist(), good.tolist(), strict=True):
        assert is_good == (1 <= len(field) <= 18 and all(48 <= letter < 58 for letter in field))
        if is_good:
            assert value == int(field)


@given(st.lists(st.integers(-(10**18), 10**18), min_size=1), st.sampled_from([1, 10, 1000, 10**6, 10**18]))
def test_division_rounds_to_the_nearest_and_halves_to_even(values, divisor):
    got = rounded_division(np.array(values, dtype=np.int64), divisor)
    assert got.tolist() == [round(Fraction(value, divisor)) for value in values]
