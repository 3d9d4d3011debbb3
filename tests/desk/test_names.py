"""Strangers' texts on one line of a message."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchapp.desk.names import shown


@given(st.text(max_size=400))
def test_whatever_comes_is_one_short_line_that_can_be_seen(text):
    line = shown(text)
    assert len(line.splitlines()) == 1
    assert not [sign for sign in line if unicodedata.category(sign) in ("Cc", "Cf", "Cs", "Zl", "Zp")]


@pytest.mark.parametrize("text", ["a.t2h", "Übung 3.t2h", "<b>.t2h", "=1+1"])
def test_what_can_be_seen_is_shown_as_it_is(text):
    assert shown(text) == f"'{text}'"


def test_a_long_name_is_clipped_in_its_middle():
    line = shown("a" * 5000 + ".t2h")
    assert len(line) < 130
    assert line.endswith(".t2h'")
