"""What the run page says of a sweep and of a hold."""

import pytest

from benchapp.presentation.live.run_shown import RunState
from benchapp.presentation.live.run_view import run_view
from benchapp.presentation.live.stick_view import StickChoice
from benchapp.presentation.sweep.stick_words import degrees_of, percent_of, position_words
from benchapp.procedures.ground.progress import Pace, Prompt, RunProgress, StickProgress

NBSP = "\u00a0"


def view(prompt, *, chosen=None, stick=None, **changes):
    told = RunProgress(
        run=1, test="stick-sweep", prompt=prompt, flips=0, answered=0, stick=StickProgress(**(stick or {})), **changes
    )
    return run_view(told, chosen=chosen)


def stops(**changes):
    return {"stops": 6, "stops_wanted": 61, "next_deg": 6.0, "mark": 7, "marks": 11, "rising": True, **changes}


@pytest.mark.parametrize(
    ("pace", "words"), [(Pace.GOOD, "Just right"), (Pace.TOO_FAST, "Too fast"), (Pace.TOO_SLOW, "Too slow")]
)
def test_a_moving_sweep_says_how_it_goes(pace, words):
    shown = view(Prompt.SWEEP, stick={"pace": pace, "pace_wanted": Pace.USUAL})
    assert (shown.how, shown.prompt, shown.act_now) == (words, "Sweep slowly", False)


@pytest.mark.parametrize(
    ("wanted", "words"),
    [(Pace.USUAL, "At an easy pace"), (Pace.SLOWER, "More slowly"), (Pace.QUICKER, "A little quicker")],
)
def test_before_a_stroke_the_speed_it_should_have_is_asked_for_with_the_reason(wanted, words):
    shown = view(Prompt.SWEEP, stick={"still": True, "pace_wanted": wanted})
    assert words in shown.sentence
    assert ("late" in shown.sentence) is (wanted is not Pace.USUAL)
    assert shown.act_now


def test_there_and_backs_are_counted_and_what_is_left_of_them():
    shown = view(Prompt.SWEEP, stick={"cycles": 2, "cycles_wanted": 3}, minutes_left=0.3)
    assert (shown.count, shown.left, shown.minutes) == ("2 of 3 there-and-backs", "1 more", "under a minute")


def test_straightness_is_told_after_one_there_and_back_and_with_its_give_or_take():
    early = view(Prompt.SWEEP, stick={"cycles": 0, "cycles_wanted": 3})
    assert (early.figure, early.give_or_take) == ("–", "told after one there-and-back")
    shown = view(
        Prompt.SWEEP,
        stick={"cycles": 1, "linearity_pct": 0.4213, "linearity_u_pct": 0.12, "low_us": 1108.2, "high_us": 1886},
    )
    assert shown.titles[1] == "Straight to within so far"
    assert (shown.figure, shown.give_or_take) == (f"0.42{NBSP}%", f"of the travel, give or take 0.12{NBSP}%")
    assert shown.last.startswith("1")


def test_the_next_mark_is_named_big_in_degrees_or_in_percent():
    assert view(Prompt.SET_STOP, stick=stops()).prompt == "Mark 7: 6°"
    assert view(Prompt.SET_STOP, stick=stops(), chosen=StickChoice(percent=True)).prompt == f"Mark 7: 60{NBSP}%"


@pytest.mark.parametrize(
    ("deg", "percent", "words"), [(-30, 0, "0"), (0, 50, "50"), (30, 100, "100"), (-7.5, 37.5, "37.5")]
)
def test_degrees_and_percent_of_the_travel_are_the_same_marks(deg, percent, words):
    assert percent_of(deg) == pytest.approx(percent)
    assert degrees_of(percent) == pytest.approx(deg)
    assert position_words(deg, percent=True) == f"{words}{NBSP}%"


def test_a_mark_is_set_from_its_side_and_then_enter_takes_it_or_it_is_taken_by_itself():
    by_hand = view(Prompt.SET_STOP, stick=stops())
    assert "coming up" in by_hand.sentence
    assert "not past it" in by_hand.sentence
    assert "Enter" in by_hand.sentence
    assert by_hand.take == "Take mark 7"
    itself = view(Prompt.SET_STOP, stick=stops(rising=False), chosen=StickChoice(itself=True))
    assert "coming down" in itself.sentence
    assert "by itself" in itself.sentence
    assert itself.take == ""


@pytest.mark.parametrize(
    ("prompt", "still", "how"),
    [
        (Prompt.SET_STOP, False, "Moving"),
        (Prompt.SET_STOP, True, "Stands still"),
        (Prompt.KEEP_STILL, True, "Settling"),
        (Prompt.WENT_PAST, True, "Stands still"),
    ],
)
def test_a_stop_says_whether_all_is_still(prompt, still, how):
    assert view(prompt, stick=stops(still=still)).how == how


def test_a_stop_gone_past_says_how_to_come_again():
    shown = view(Prompt.WENT_PAST, stick=stops(still=True))
    assert shown.prompt == "Went past"
    assert "mark 7: 6° again, from the same side" in shown.sentence


def test_stops_and_passes_are_counted_and_the_last_one_can_be_set_anew():
    shown = view(
        Prompt.SET_STOP, stick=stops(cycles=0, cycles_wanted=3, can_drop=True, last_us=1532.26), minutes_left=3.6
    )
    assert (shown.count, shown.blocks) == ("6 of 61 stops", "There-and-back 1 of 3, going up")
    assert (shown.last, shown.left, shown.minutes) == (f"1532.3{NBSP}µs", "55 stops", f"about 4{NBSP}min")
    assert (shown.can_drop, shown.drop, shown.no_drop) == (True, "Drop last stop", "")


def test_a_sweep_and_a_hold_say_why_nothing_can_be_dropped():
    sweep = view(Prompt.SWEEP, stick={"cycles": 1})
    hold = view(Prompt.TOUCH_NOTHING, stick={"held_s": 3.0})
    assert not sweep.can_drop
    assert "kept whole" in sweep.no_drop
    assert "touch" in hold.no_drop


def test_a_hold_counts_down_and_shows_how_unsteady_it_is():
    shown = view(
        Prompt.TOUCH_NOTHING,
        stick={"held_s": 12.0, "hold_s": 20.0, "position": 1, "sd_us": 0.312, "peak_us": 2.06},
        minutes_left=8 / 60,
    )
    assert shown.prompt == "Hands off"
    assert (shown.count, shown.left) == (f"Held for 12 of 20{NBSP}s", f"8{NBSP}s")
    assert (shown.figure, shown.last) == (f"0.31{NBSP}µs", f"2.06{NBSP}µs")


@pytest.mark.parametrize(("prompt", "paused"), [(Prompt.LET_GO, "touched"), (Prompt.NEXT_POSITION, "next-position")])
def test_a_touch_and_the_next_position_go_on_by_themselves_where_the_stick_is_seen(prompt, paused):
    seen = view(prompt, stick={"held_s": 3.0}, paused=paused)
    assert seen.state is RunState.PAUSED
    assert seen.by_itself
    assert "by itself" in seen.sentence
    unseen = view(prompt, stick={"held_s": 3.0}, paused=paused, chosen=StickChoice(by_lead=False))
    assert not unseen.by_itself
    assert "Carry on" in unseen.sentence


def test_a_stopped_sweep_says_how_far_it_came():
    shown = view(Prompt.DONE, stick={"cycles": 1, "cycles_wanted": 3}, outcome="cut-short", stop_reason="by-hand")
    assert shown.sentence == "Stopped early and kept. Stopped by hand. 1 of 3 there-and-backs."
    assert (shown.left, shown.take, shown.how) == ("", "", "")
