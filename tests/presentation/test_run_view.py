"""A run in words."""

import pytest

from benchapp.presentation.live.run_shown import SHORT_PROMPTS, RunState
from benchapp.presentation.live.run_view import run_view
from benchapp.procedures.ground.progress import Prompt, RunProgress, StickProgress, StopReason
from benchapp.records.events import SWITCH_ON


def progress(**facts):
    usual = {"run": 1, "test": "switch-flip", "prompt": Prompt.FLIP_NOW, "flips": 0, "answered": 0, "wanted": 60}
    return RunProgress(**(usual | facts))


def plain(text):
    return text.replace("\u00a0", " ").replace("\u202f", " ")


def test_every_prompt_has_a_few_words_and_a_sentence_unless_they_are_the_same():
    for prompt in Prompt:
        assert 1 <= len(SHORT_PROMPTS[prompt].split()) <= 4
        view = run_view(progress(prompt=prompt))
        assert view.prompt == SHORT_PROMPTS[prompt]
        assert view.sentence == "" or view.sentence.endswith(".")


def test_a_run_before_its_first_flip_shows_dashes_and_no_number():
    view = run_view(progress(prompt=Prompt.FLIP_TO_START))
    assert (view.figure, view.give_or_take, view.last, view.left) == ("–", "", "–", "")
    assert plain(view.count) == "0 of 60 flips"
    assert view.share == 0.0


def test_value_and_give_or_take_end_at_the_same_place():
    view = run_view(progress(flips=23, answered=22, value_ms=24.0612, half_width_ms=0.923))
    assert plain(view.figure) == "24.06 ms"
    assert plain(view.give_or_take) == "give or take 0.92 ms"


def test_the_give_or_take_says_what_it_stands_for_and_any_switch_on_stands_below():
    facts = {"flips": 23, "answered": 22, "value_ms": 24.0612, "half_width_ms": 0.923, "any_half_width_ms": 13.04}
    view = run_view(progress(**facts, stands_for="this-switch-on"))
    assert plain(view.give_or_take) == "give or take 0.92 ms, this switch-on"
    assert plain(view.beside) == "any switch-on: 24 ms, give or take 13 ms"
    view = run_view(progress(**facts, stands_for="this-switch-on", seen_switch_ons=2))
    assert plain(view.give_or_take) == "give or take 0.92 ms, these two switch-ons"
    view = run_view(progress(**facts, stands_for="any-switch-on", seen_switch_ons=3))
    assert (plain(view.give_or_take), view.beside) == ("give or take 0.92 ms, any switch-on", "")


def test_a_target_that_no_number_of_flips_meets_is_said():
    assert run_view(progress(out_of_reach=True)).left == "more flips will not bring it there"
    assert plain(run_view(progress(out_of_reach=True, flips_left=30)).left) == "about 30 flips"
    assert run_view(progress(out_of_reach=True, outcome="complete", prompt=Prompt.DONE)).left == ""


def test_a_flip_without_an_answer_says_so_instead_of_a_number():
    assert run_view(progress(flips=3, last_code="no-answer")).last == "no answer in time"
    assert run_view(progress(flips=3, last_code="a-code-of-tomorrow")).last == "did not count"


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({"flips_left": 37, "minutes_left": 1.2}, ("about 37 flips", "about 1 min")),
        ({"flips_left": 9, "minutes_left": 0.3}, ("about 9 flips", "under a minute")),
        ({"flips_left": 1, "minutes_left": None}, ("about 1 flip", "")),
        ({"flips_left": None, "minutes_left": None}, ("", "")),
        ({"flips_left": 25, "switch_ons_left": 5, "minutes_left": 2.2}, ("5 switch-ons", "about 2 min")),
        ({"flips_left": 4, "switch_ons_left": 1}, ("1 switch-on", "")),
        ({"switch_ons_left": 3, "out_of_reach": True}, ("3 switch-ons", "")),
    ],
)
def test_what_is_left_is_said_in_flips_and_minutes(facts, words):
    view = run_view(progress(flips=5, **facts))
    assert (plain(view.left), plain(view.minutes)) == words


def test_a_run_without_a_count_shows_a_bar_only_once_the_end_is_known():
    assert run_view(progress(wanted=None, flips=10)).share is None
    assert run_view(progress(wanted=None, flips=10, flips_left=30)).share == 0.25


@pytest.mark.parametrize(
    ("reason", "words"),
    [
        ("bad-signal", "The servo pulses stopped."),
        ("by-hand", "Paused by hand."),
        (SWITCH_ON, "Model off first, then the transmitter; transmitter on first, then the model."),
    ],
)
def test_a_pause_says_its_reason_and_both_ways_out(reason, words):
    view = run_view(progress(paused=reason))
    assert view.state is RunState.PAUSED
    assert view.sentence == f"{words} Carry on, or stop and keep."


def test_an_ended_run_says_how_why_and_how_many_were_answered():
    view = run_view(
        progress(prompt=Prompt.DONE, flips=7, answered=6, outcome="cut-short", stop_reason=StopReason.PROBE_LOST.value)
    )
    assert view.state is RunState.ENDED
    assert plain(view.sentence) == "Stopped early and kept. The probe was lost. 6 of 7 flips answered."
    assert not view.can_drop
    assert not view.can_undrop


def test_a_drop_can_be_undone_only_while_there_is_one():
    assert run_view(progress(flips=3)).can_drop
    assert not run_view(progress(flips=3)).can_undrop
    dropped = run_view(progress(flips=3, dropped=3))
    assert not dropped.can_drop
    assert dropped.can_undrop
    assert plain(dropped.dropped) == "3 flips dropped by hand"


def test_a_run_with_switch_ons_says_which_one_it_is():
    assert run_view(progress(blocks=1, switch_ons=3)).blocks == "Switch-on 1 of 3"
    assert run_view(progress(blocks=1)).blocks == ""


def test_a_figure_that_is_made_anew_no_more_says_of_what_it_is():
    assert run_view(progress()).titles[1] == "The figure so far"
    assert run_view(progress(stands=True)).titles[1] == "The figure, first half hour"
    held = progress(stands=True, test="hold-still", stick=StickProgress(held_s=2000.0))
    assert run_view(held).titles[:2] == ("Shortest to longest, first half hour", "Unsteadiness, first half hour")
