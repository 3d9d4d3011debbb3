"""The safety notes."""

from benchapp.presentation.page import Signal
from benchapp.presentation.safety import (
    MANUALS_WIN,
    PUT_BACK,
    SAFETY,
    notices,
    put_back_confirmed,
    safety_words,
)
from benchapp.procedures.gate import SafetyLine


def test_every_line_of_the_gate_has_words() -> None:
    assert set(SAFETY) == set(SafetyLine)
    for line in SafetyLine:
        assert safety_words(line.value).endswith(".")


def test_what_can_hurt_is_caution_or_more_and_notice_is_for_property_only() -> None:
    gentle = {line for line, words in SAFETY.items() if words.signal is Signal.NOTICE}
    assert gentle == {SafetyLine.ONE_SUPPLY, SafetyLine.UNMODIFIED}
    silent = {line for line, words in SAFETY.items() if words.signal is None}
    assert silent == {SafetyLine.PRACTICE, SafetyLine.RECEIVER_ONLY}


def test_notices_come_gravest_first_and_hold_every_line_that_warns() -> None:
    shown = notices()
    order = [notice.signal for notice in shown]
    assert order == [Signal.WARNING, Signal.CAUTION, Signal.NOTICE]
    lines = {line for notice in shown for line in notice.lines}
    assert {words.text for words in SAFETY.values() if words.signal is not None} <= lines


def test_the_propeller_comes_off_before_the_battery_goes_in() -> None:
    text = SAFETY[SafetyLine.PROPELLER_OFF].text
    assert "before the flight battery goes in" in text
    assert "not a safeguard" in text


def test_the_makers_manuals_win_and_nothing_is_declared_fit_to_fly() -> None:
    assert "they win" in MANUALS_WIN
    assert "not a statement that anything is fit to fly" in MANUALS_WIN


def test_put_back_is_confirmed_only_when_every_line_is() -> None:
    answers = [(line, "yes") for line in PUT_BACK]
    assert put_back_confirmed(answers)
    assert not put_back_confirmed(answers[1:])
    assert not put_back_confirmed([])
    assert not put_back_confirmed([*answers, ("fail-safe", "no")])


def test_a_line_of_a_newer_program_has_words_that_say_so() -> None:
    assert "no words for" in safety_words("hovercraft-skirt")
