"""What the options of a sweep and a hold say, and how typed positions are read."""

import pytest

from benchapp.presentation.screens.stick_choice import (
    OFFERED_MARKS,
    bench_sentence,
    cycles_sentence,
    even_marks,
    hold_sentence,
    positions_sentence,
    stops_problem,
    stops_sentence,
    take_sentence,
    typed_positions,
    way_sentence,
)
from benchapp.presentation.shown import CARDS
from benchapp.records.errors import WrongCall
from benchapp.records.named_tests import names_of_tests
from benchapp.records.run import RunSettings

NBSP = "\u00a0"


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        ("-30 -15 0 15 30", (-30, -15, 0, 15, 30)),
        ("−30, −15, 0, 15, 30", (-30, -15, 0, 15, 30)),
        ("-30,-15,0,15,30", (-30, -15, 0, 15, 30)),
        ("-12,5; 0; 12,5", (-12.5, 0, 12.5)),
        ("-12,5 0 12,5", (-12.5, 0, 12.5)),
        ("-12.5° 0° 12.5°", (-12.5, 0, 12.5)),
        (" ", ()),
    ],
)
def test_typed_positions_are_read_with_either_decimal_mark(text, degrees):
    assert typed_positions(text, percent=False) == degrees


def test_percent_of_the_travel_become_degrees():
    assert typed_positions("0 25 50 75 100 %", percent=True) == pytest.approx((-30, -15, 0, 15, 30))


@pytest.mark.parametrize(
    ("text", "percent", "named"),
    [
        ("-30 up 30", False, "up"),
        ("1e3 2", False, "1e3"),
        ("-95 0 95", False, "−90°"),
        ("0 50 101", True, f"0 to 100{NBSP}%"),
        ("x" * 80, False, "x" * 20 + "”"),
    ],
)
def test_what_is_no_position_is_named(text, percent, named):
    with pytest.raises(WrongCall) as caught:
        typed_positions(text, percent=percent)
    assert named in caught.value.message


def test_marks_are_said_as_they_were_understood():
    assert positions_sentence((-12.5, 0.0, 12.5)) == "3 marks: −12.5° 0° 12.5°"


def test_too_few_and_falling_marks_are_refused_in_the_procedure_s_own_words():
    assert "5 to 101 positions" in stops_problem("stick-sweep", RunSettings(cycles=1, stops_deg=(-1.0, 0.0, 1.0)))
    assert "rising order" in stops_problem("stick-sweep", RunSettings(cycles=1, stops_deg=(3.0, 2.0, 1.0, 0.0, -1.0)))
    for count in OFFERED_MARKS:
        assert stops_problem("stick-sweep", RunSettings(cycles=1, stops_deg=even_marks(count))) == ""


def test_the_practice_stick_has_no_marks_beyond_its_travel_and_no_marks_are_none():
    told = RunSettings(cycles=1, stops_deg=(-40.0, -20.0, 0.0, 20.0, 40.0))
    assert stops_problem("stick-sweep", told) == ""
    assert "30° each way" in stops_problem("stick-sweep", told, practice=True)
    assert "Type the positions" in stops_problem("stick-sweep", RunSettings(cycles=1))


def test_how_long_it_takes_is_said_before_it_is_started():
    assert cycles_sentence(3).startswith(f"About 40{NBSP}s")
    assert stops_sentence(11, 3).startswith(f"61 stops in all. About 4{NBSP}min")
    assert hold_sentence(20.0, 1).startswith(f"About 20{NBSP}s, ")
    assert "3 positions" in hold_sentence(20.0, 3)


def test_too_few_times_there_and_back_are_warned_of():
    assert "too few" in cycles_sentence(2)
    assert "too few" in stops_sentence(5, 1)
    assert "too few" not in cycles_sentence(3)


def test_each_choice_says_what_it_means():
    assert way_sentence(by_stops=True) != way_sentence(by_stops=False)
    assert "Enter" in take_sentence(itself=False)
    assert "do not stop on the way" in take_sentence(itself=True)
    assert bench_sentence(bench=True) != bench_sentence(bench=False)


def test_every_test_has_a_card_of_two_plain_sentences_and_the_stick_s_warn_of_the_throttle():
    assert CARDS.names() == names_of_tests()
    for words in CARDS.all():
        assert words.needs.startswith("Needs a lead")
        assert "minute" in words.takes
    for test in ("stick-sweep", "hold-still"):
        assert "never the throttle stick" in CARDS.of(test).first
        assert "never the throttle stick" in CARDS.of(test).answers
