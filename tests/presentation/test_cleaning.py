"""Text from people and files, made safe to show."""

import unicodedata

from hypothesis import given
from hypothesis import strategies as st

from benchapp.presentation.ground.cleaning import clean


@given(st.text(max_size=400), st.integers(min_value=5, max_value=200))
def test_cleaned_text_is_one_line_without_control_or_bidi_characters(text: str, limit: int) -> None:
    shown = clean(text, limit=limit)
    assert len(shown) <= limit
    assert shown == shown.strip()
    for character in shown:
        assert unicodedata.category(character) not in ("Cc", "Cs", "Zl", "Zp", "Co", "Cn")
        assert character not in "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c\ufeff"


def test_plain_names_stay_as_typed() -> None:
    for name in ("Birch on the bench", "Ünïcödé 25 µs", "x<y & z", '"quoted"', "日本 – 5 %", "नमस्ते"):
        assert clean(name) == name


def test_a_long_name_is_cut_and_says_so() -> None:
    shown = clean("A" * 10_000, limit=120)
    assert len(shown) == 120
    assert shown.endswith("…")


def test_bidi_controls_cannot_turn_a_name_round() -> None:
    assert clean("gnp\u202egpj.exe\u202c") == "gnpgpj.exe"


def test_line_breaks_and_tabs_become_blanks() -> None:
    assert clean("one\r\ntwo\tthree\u2028four\x00five") == "one two three four five"


def test_marks_cannot_pile_up() -> None:
    assert clean("a" + "\u0301" * 50) == "a" + "\u0301" * 3


def test_a_huge_name_made_of_dropped_characters_still_ends() -> None:
    assert len(clean("\u202e" * 1_000_000 + "end")) <= 120
