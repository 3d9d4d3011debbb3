"""What the card of a test proposes, and the plans it offers."""

import pytest

from benchapp.presentation.screens.test_choice import (
    PLANS,
    plan_name,
    plan_of,
    plan_problem,
    plan_sentence,
    plan_words,
    proposed_target,
    proposed_text,
    start_refusal,
)


@pytest.mark.parametrize(("frame_ms", "text"), [(22.6, "1.13"), (11.0, "0.55"), (4.0, "0.30"), (None, "")])
def test_a_twentieth_of_the_frame_is_proposed_and_never_less_than_three_tenths_of_a_millisecond(frame_ms, text):
    # common practice, no source
    assert proposed_text(frame_ms) == text
    assert (text or "once servo pulses are there") in proposed_target(frame_ms)


def test_a_plan_says_what_it_is_about_and_how_many_flips_each_switch_on_gets():
    assert "stays on" in plan_sentence(1, 60)
    assert "6 flips" in plan_sentence(10, 60)
    assert "comparing" in plan_sentence(10, 60)
    assert "comparing" not in plan_sentence(5, 60)
    assert "6 or 7 flips" in plan_sentence(10, 62)


def test_the_plans_offered_are_sixty_flips_each_and_are_known_again():
    # The plans are those of the measurement's definition: 1 x 60, 5 x 12, 10 x 6.
    assert PLANS == ((1, 60), (5, 12), (10, 6))
    assert [plan_of(switch_ons, switch_ons * each) for switch_ons, each in PLANS] == [0, 1, 2]
    assert plan_of(10, 61) == -1
    assert [plan_words(*plan) for plan in PLANS] == ["1 × 60", "5 × 12", "10 × 6"]
    assert plan_name(10, 6) == "10 switch-ons of 6 flips"


def test_fewer_flips_than_switch_ons_cannot_be_started():
    assert plan_problem(10, 10) == ""
    assert "10 flips or more" in plan_problem(10, 9)


@pytest.mark.parametrize(
    "link",
    ["looking", "lost", "in-use", "not-allowed", "not-our-probe", "no-program", "old-program", "other-probe", "closed"],
)
def test_no_run_starts_without_a_probe_and_the_reason_is_said(link):
    assert start_refusal(link, {}) not in ("", start_refusal("ready", {"lithium": "stale"}))


def test_with_a_probe_only_the_safety_lines_stand_in_the_way():
    assert start_refusal("ready", {}) == start_refusal("recording", {}) == ""
    assert "Make it safe" in start_refusal("ready", {"lithium": "stale"})
