"""Numbers as people read them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchapp.presentation.ground.numbers import (
    DASH,
    NBSP,
    at_places,
    counted,
    digits,
    duration,
    exists,
    give_or_take,
    in_words,
    known,
    percent,
    plainly,
    span,
    uncertainty_places,
    value_and_u,
    when,
    with_unit,
)


def test_an_uncertainty_has_two_digits_and_the_value_the_same_place() -> None:
    # JCGM 100:2008, 7.2.6 (clause and example from memory): 10.05762 Ω with u = 27 mΩ is "10.058 Ω with 27 mΩ".
    assert value_and_u(10.05762, 0.027) == ("10.058", "0.027")


@pytest.mark.parametrize(
    ("value", "uncertainty", "shown"),
    [
        (22.2345, 0.5843, ("22.23", "0.58")),
        (22.2345, 0.0996, ("22.23", "0.10")),
        (22.2345, 9.96, ("22", "10")),
        (22.25, 12.3, ("22", "12")),
        (1234.0, 123.0, ("1230", "120")),
        (0.0, 0.0012, ("0.0000", "0.0012")),
        (-0.00001, 0.5, ("0.00", "0.50")),
        (-3.456, 0.5, ("−3.46", "0.50")),
    ],
)
def test_rounding_by_the_uncertainty(value: float, uncertainty: float, shown: tuple[str, str]) -> None:
    assert value_and_u(value, uncertainty) == shown


@given(st.floats(min_value=1e-8, max_value=1e8))
def test_any_uncertainty_is_shown_with_two_digits(uncertainty: float) -> None:
    shown = at_places(uncertainty, uncertainty_places(uncertainty))
    significant = shown.replace(".", "").lstrip("0")
    assert len(significant.rstrip("0") if "." not in shown else significant) <= 2
    assert float(shown) == pytest.approx(uncertainty, rel=0.051)


@given(st.floats(allow_nan=True, allow_infinity=True) | st.none(), st.integers(min_value=0, max_value=6))
def test_no_number_ever_reads_nan_inf_or_none(value: float | None, places: int) -> None:
    texts = [
        at_places(value, places),
        with_unit(value, places, "ms"),
        give_or_take(value, value, "ms"),
        span(value, None, places, "ms"),
        span(None, value, places, "ms"),
        digits(value, 2, "ms"),
        plainly(value, 3, "ms"),
        percent(value),
        duration(value),
    ]
    for text in texts:
        assert text
        assert not any(word in text.lower() for word in ("nan", "inf", "none"))
    if not exists(value):
        assert at_places(value, places) == DASH


def test_a_missing_end_of_an_interval_is_said_in_words() -> None:
    assert span(1.0, 2.0, 1, "ms") == f"1.0 to 2.0{NBSP}ms"
    assert span(1.0, None, 1, "ms") == f"1.0{NBSP}ms or more"
    assert span(None, 2.0, 1, "ms") == f"up to 2.0{NBSP}ms"
    assert span(None, math.nan, 1, "ms") == DASH


def test_significant_figures_are_written_plainly() -> None:
    assert digits(0.4446, 2, "m") == f"0.44{NBSP}m"
    assert digits(0.0996, 2, "m") == f"0.10{NBSP}m"
    assert digits(222.3, 2, "ms") == f"220{NBSP}ms"
    assert plainly(0.5, 3, "s") == f"0.5{NBSP}s"
    assert plainly(450.0, 3, "s") == f"450{NBSP}s"


def test_shares_and_counts() -> None:
    assert percent(0.082) == f"8.2{NBSP}%"
    assert percent(0.82) == f"82{NBSP}%"
    assert percent(0.0) == f"0{NBSP}%"
    assert (counted(1, "flip"), counted(58, "flip"), counted(0, "glitch", "glitches")) == (
        "1 flip",
        "58 flips",
        "0 glitches",
    )
    assert in_words(3) == "three"
    assert in_words(61) == "61"


def test_dates_are_in_words_and_never_break() -> None:
    assert when("2026-11-25T09:15:00+01:00") == "25 November 2026, 09:15 (UTC+01:00)"
    assert when("2026-11-25T09:15:00Z") == "25 November 2026, 09:15 (UTC+00:00)"
    assert when("2026-11-25T09:15:00") == "25 November 2026, 09:15 (time zone not stated)"
    assert when(None) == "no date stated"
    assert when("yesterday") == "a date that cannot be read"


@pytest.mark.parametrize(
    ("seconds", "shown"), [(4.25, "4.2 s"), (41.0, "41 s"), (185.0, "3 min 05 s"), (3725.0, "1 h 02 min")]
)
def test_lengths_of_time(seconds: float, shown: str) -> None:
    assert duration(seconds).replace(NBSP, " ") == shown


@pytest.mark.parametrize(
    ("value", "uncertainty", "shown"),
    [
        (22.500123, 0.0072, "22.500 ms"),
        (22.500123, 0.000094, "22.50012 ms"),
        (22.500123, 0.13, "22.5 ms"),
        (22.500123, 1.3, "23 ms"),
        (1899.94, 13.0, "1900 ms"),
        (22.500123, None, "22.50 ms"),
        (22.500123, 0.0, "22.50 ms"),
        (None, 0.1, "–"),
    ],
)
def test_a_value_alone_ends_where_its_uncertainty_begins(value, uncertainty, shown):
    assert known(value, uncertainty, "ms").replace("\u00a0", " ") == shown
