"""Every code a reduction can give has plain words, and the words of stick tests are a hobbyist's."""

import pytest

from benchapp.presentation.ground import wording
from benchapp.presentation.ground.stick_codes import COUNTED, NOTES
from benchapp.presentation.shown import SHOWN, flag_words
from benchapp.records.codes import Estimator, Exclusion, Flag, Note
from benchapp.reduction.sweep import linearity_budget


def test_every_code_has_words_and_no_words_stand_for_a_code_that_there_is_not() -> None:
    assert set(wording.FLAGS) == set(Flag)
    assert set(wording.NOTES) == set(Note)
    assert set(wording.EXCLUSIONS) == set(Exclusion)
    assert set(wording.ESTIMATORS) == set(Estimator)


@pytest.mark.parametrize("note", list(NOTES))
def test_every_note_of_a_stick_test_is_a_plain_sentence(note: str) -> None:
    sentence = wording.note_sentence(f"{note}: 3" if note in COUNTED else note)
    assert sentence.endswith(".")
    assert "no words" not in sentence
    assert "{" not in sentence
    assert note not in sentence or "-" not in note
    if note in COUNTED:
        assert sentence.startswith("3 ")
        assert wording.note_sentence(f"{note}: 1").startswith(f"1 {COUNTED[note]} ")


@pytest.mark.parametrize("test", ["stick-sweep", "hold-still"])
@pytest.mark.parametrize(
    "flag", ["insufficient", "polarity-guessed", "coarse-stamps", "probe-gap", "damaged-evidence", "practice"]
)
def test_a_flag_of_a_stick_test_does_not_speak_of_flips(test: str, flag: str) -> None:
    words = flag_words(flag, test)
    assert "flip" not in f"{words.title} {words.sentence}".lower()
    assert words.sentence.endswith(".")


def test_flips_keep_their_own_words() -> None:
    assert wording.flag_words("insufficient") is wording.FLAGS["insufficient"]
    assert flag_words("insufficient", "switch-flip") is wording.FLAGS["insufficient"]
    for part in SHOWN.all():
        assert part.flags.keys() <= wording.FLAGS.keys()


def test_every_line_of_a_sweep_s_uncertainty_has_words() -> None:
    for source in (
        linearity_budget.LEVEL_LEAD,
        linearity_budget.TYPED_POSITIONS,
        linearity_budget.STROKES,
        linearity_budget.OUTPUT_STEP,
        linearity_budget.BEND,
    ):
        assert source in wording.BUDGET
