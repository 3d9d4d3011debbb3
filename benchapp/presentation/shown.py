"""Where a run's words and drawings come from: what its named test shows."""

from typing import Any

from benchapp.presentation.ground import wording
from benchapp.presentation.ground.card import CardWords
from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.flag_words import FlagWords
from benchapp.presentation.ground.numbers import counted
from benchapp.presentation.ground.shown_test import ShownTest
from benchapp.records.errors import WrongInput
from benchapp.records.named_tests import Parts

SHOWN: Parts[ShownTest[Any]] = Parts("benchapp.presentation.{}.shown")
CARDS: Parts[CardWords] = Parts("benchapp.presentation.{}.card")
"""Apart from the rest of what a test shows, so that the cards can be made without its drawings."""


def shown_test(test: str) -> ShownTest[Any]:
    """Return what a named test shows. Raises WrongInput for a test this version does not know."""
    part = SHOWN.find(test)
    if part is None:
        raise WrongInput(f"this version has no words for a “{clean(test, limit=40)}” test")
    return part


def test_words(test: str) -> str:
    """Return the title of a named test; of one this version does not know, its name."""
    card = CARDS.find(test)
    return clean(test, limit=40) if card is None else card.title


def counted_words(test: str, counts: int) -> str:
    """Return what a run of a test has counted so far: "1,234 pulses"."""
    one, several = CARDS.of(test).counts
    return counted(counts, one, several)


def flag_words(code: str, test: str) -> FlagWords:
    """Return the words for a flag of a test; for a code of a newer program, words that say so."""
    part = SHOWN.find(test)
    own = None if part is None else part.flags.get(code)
    return own or wording.flag_words(code)
