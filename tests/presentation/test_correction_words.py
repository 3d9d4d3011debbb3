"""A known delay outside the set: what is typed, what is done with it, and what makes no sense."""

import pytest

from benchapp.presentation.flips.correction_words import typed_correction
from benchapp.procedures.named import check_settings
from benchapp.records.run import RunSettings


@pytest.mark.parametrize(
    ("take_off", "within", "added"),
    [("3.25", "0.5", -3.25), ("3,25", "0,5", -3.25), ("-2", "0", 2.0), ("0", "0.5", 0.0), (" 1000 ", "1000", -1000.0)],
)
def test_what_is_taken_off_is_a_correction_of_the_other_sign(take_off, within, added):
    typed = typed_correction(take_off, within)
    assert (typed.correction_ms, typed.problem) == (added, "")
    assert typed.within_ms == float(within.replace(",", "."))
    settings = RunSettings(flips=60, correction_ms=typed.correction_ms, correction_within_ms=typed.within_ms)
    check_settings("switch-flip", settings)  # what can be typed can be run
    assert ("added to" if added > 0 else "taken off") in typed.sentence
    assert "known to within ±" in typed.sentence


def test_nothing_typed_asks_for_nothing():
    typed = typed_correction("", " ")
    assert (typed.correction_ms, typed.within_ms, typed.sentence, typed.problem) == (None, None, "", "")


@pytest.mark.parametrize(
    ("take_off", "within"),
    [("3", ""), ("", "0.5"), ("-", "0.5"), ("x", "1"), ("nan", "1"), ("1", "inf"), ("1001", "1"), ("1", "-0.5")],
)
def test_half_of_it_no_number_or_too_much_is_a_problem_and_changes_nothing(take_off, within):
    typed = typed_correction(take_off, within)
    assert typed.problem.endswith(".")
    assert (typed.correction_ms, typed.within_ms, typed.sentence) == (None, None, "")
