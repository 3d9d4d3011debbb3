"""What a stick test says of itself while it goes on."""

import pytest

from benchapp.presentation.live.run_view import run_view
from benchapp.presentation.sweep.stick_words import PACES, degrees, stick_count, stick_hint, stick_share
from benchapp.procedures.ground.progress import Pace, Prompt, RunProgress, StickProgress


def progress(**changes) -> RunProgress:
    usual = {"run": 1, "test": "stick-sweep", "prompt": Prompt.SWEEP, "flips": 0, "answered": 0}
    return RunProgress(**{**usual, "stick": StickProgress(**changes.pop("stick", {})), **changes})


@pytest.mark.parametrize(
    ("told", "words", "share"),
    [
        ({"cycles": 1, "cycles_wanted": 3}, "1 of 3 there-and-backs", 1 / 3),
        ({"cycles": 2}, "2 there-and-backs", None),
        ({"stops": 5, "stops_wanted": 13, "next_deg": 0.0}, "5 of 13 stops", 5 / 13),
        ({"stops": 1, "next_deg": 0.0}, "1 stop", None),
        ({"held_s": 7.6, "hold_s": 20.0, "position": 1}, "held for 8 of 20\u00a0s", 0.38),
        (
            {"held_s": 10.0, "hold_s": 20.0, "position": 2, "positions": 4},
            "held for 10 of 20\u00a0s, position 2 of 4",
            1.5 / 4,
        ),
        ({"held_s": 31.0, "position": 1}, "held for 31\u00a0s", None),
    ],
)
def test_the_count_is_in_the_test_s_own_words(told, words, share):
    stick = StickProgress(**told)
    assert stick_count(stick) == words
    assert stick_share(stick) == (None if share is None else pytest.approx(share))


def test_a_position_is_read_with_its_sign():
    assert [degrees(deg) for deg in (-30.0, 0.0, 12.5)] == ["−30°", "0°", "12.5°"]


def test_every_pace_has_words():
    assert set(PACES) == set(Pace)


def test_the_instruction_names_the_position_and_the_side_to_come_from():
    run = progress(prompt=Prompt.SET_STOP, stick={"stops": 3, "next_deg": -15.0, "rising": False})
    assert stick_hint(run) == "−15°, coming down"


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ({"pace": Pace.TOO_FAST, "pace_wanted": Pace.SLOWER}, "Too fast"),
        ({"pace_wanted": Pace.SLOWER}, "More slowly this time"),
        ({}, ""),
    ],
)
def test_a_stroke_says_its_pace_and_before_it_the_one_wanted(told, words):
    assert stick_hint(progress(stick=told)) == words


def test_a_paused_or_ended_run_hints_at_nothing():
    assert stick_hint(progress(stick={"pace_wanted": Pace.SLOWER}, paused="by-hand")) == ""
    assert stick_hint(progress(stick={"pace_wanted": Pace.SLOWER}, outcome="complete")) == ""


def test_the_run_page_counts_cycles_not_flips():
    view = run_view(progress(stick={"cycles": 2, "cycles_wanted": 3}))
    assert view.count == "2 of 3 there-and-backs"
    assert view.share == pytest.approx(2 / 3)
    ended = run_view(progress(prompt=Prompt.DONE, outcome="complete", stop_reason="enough-cycles", stick={"cycles": 3}))
    assert ended.sentence == "Complete. All the there-and-backs asked for are done. 3 there-and-backs."
