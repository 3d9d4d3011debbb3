"""The page of tests: a card for each with its Start, and everything that may be chosen behind More."""

import re

import pytest
from PySide6.QtCore import QPoint, QRect
from PySide6.QtWidgets import QLabel

from benchapp.acquisition.wishes import StartRun
from benchapp.presentation.screens.pick_up_words import CHOICES
from benchapp.presentation.shown import CARDS
from benchapp.records.run import Origin
from benchapp.ui.kept.steps import Step
from tests.ui.fake_bench import FakeRecording
from tests.ui.fake_stick import STICK_LEADS

STATISTICS = r"mean|median|deviation|variance|confidence|interval|percentile|p-value|estimat|uncertaint|sigma|σ"


@pytest.fixture
def page(practising, settle):
    """Return the page on a bench that is safe to start, with its window and its recording."""

    def page(origin=Origin.PRACTICE):
        window, recording = practising(FakeRecording(origin, leads=STICK_LEADS))
        for refusal in window.workbench.status.refusals:
            window.workbench.confirm(refusal.line.value, yes=True)
        window.go(Step.TESTS)
        settle(window)
        return window.pages.tests.choice, window, recording

    return page


def inside(window, widget):
    return QRect(widget.mapTo(window, QPoint(0, 0)), widget.size())


def test_each_card_has_one_start_a_sentence_and_the_time_and_every_one_is_in_view(page):
    choice, window, _ = page()
    for test, card in choice.cards.items():
        said = [label.text() for label in card.findChildren(QLabel) if label.isVisible()]
        assert said == [CARDS.of(test).title, CARDS.of(test).answers, CARDS.of(test).takes]
        assert "minute" in card.takes.text()
        assert card.start.isEnabled()
        assert window.rect().contains(inside(window, card.start))
    assert not choice.more.isVisible()


def test_start_on_a_card_starts_its_test_whichever_was_chosen(page, settle):
    choice, window, recording = page()
    assert choice.test != "hold-still"
    choice.cards["hold-still"].start.click()
    settle(window)
    started = [wish for wish in recording.wishes if isinstance(wish, StartRun)]
    assert [wish.test for wish in started] == ["hold-still"]


def test_more_shows_the_options_of_one_test_and_folds_them_again(page, settle):
    choice, window, _ = page()
    for test, card in choice.cards.items():
        card.choose.click()
        settle(window)
        assert [name for name, options in choice.options.items() if options.isVisible()] == [test]
        assert [made.test for made in choice.cards.values() if made.choose.isChecked()] == [test]
    card.choose.click()
    settle(window)
    assert not any(options.isVisible() for options in choice.options.values())


def test_a_test_that_is_set_wrongly_is_not_started_but_shown(page, settle):
    choice, window, recording = page()
    choice.options["switch-flip"].switch_ons.set_value(20)
    choice.options["switch-flip"].flips.set_value(3)
    choice.choose("hold-still")
    settle(window)
    choice.cards["switch-flip"].start.click()
    settle(window)
    assert not [wish for wish in recording.wishes if isinstance(wish, StartRun)]
    assert choice.test == "switch-flip"
    assert choice.options["switch-flip"].isVisible()


def test_no_word_of_statistics_stands_on_the_page_or_behind_more(page, settle):
    choice, window, _ = page()
    for card in choice.cards.values():
        card.choose.click()
        settle(window)
        for label in choice.findChildren(QLabel):
            assert not re.search(STATISTICS, label.text(), re.IGNORECASE), label.text()


def test_the_page_says_that_the_bench_flips_where_its_own_hand_does(page, settle):
    choice, window, _ = page()
    flip = choice.options["switch-flip"]
    flip.by_hand.click()
    settle(window)
    assert not choice.hand.isVisible()
    flip.by_bench.click()
    settle(window)
    assert choice.hand.isVisible()
    assert "the bench flips" in choice.hand.text()
    assert not choice.more.isVisible()


def test_a_real_bench_never_says_that_the_bench_flips(page, settle):
    choice, window, _ = page(Origin.PROBE)
    choice.options["switch-flip"].by_bench.click()
    settle(window)
    assert not choice.hand.isVisible()


def test_the_set_is_told_by_its_case():
    assert [words.split(":")[0] for _, words in CHOICES] == ["Case open", "Case stays shut", "Case stays shut"]
