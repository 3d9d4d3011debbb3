"""What the card of a test proposes, and when a block of a run is over."""

import pytest

from benchapp.presentation.test_choice import (
    blocks_sentence,
    proposed_target,
    proposed_text,
    start_refusal,
    switch_on_due,
)
from benchapp.procedures.progress import Prompt, RunProgress


def progress(**facts):
    usual = {"run": 1, "test": "switch-flip", "prompt": Prompt.FLIP_NOW, "flips": 20, "answered": 20, "wanted": 60}
    return RunProgress(**(usual | facts))


@pytest.mark.parametrize(("frame_ms", "text"), [(22.6, "1.13"), (11.0, "0.55"), (4.0, "0.30"), (None, "")])
def test_a_twentieth_of_the_frame_is_proposed_and_never_less_than_three_tenths_of_a_millisecond(frame_ms, text):
    # common practice, no source
    assert proposed_text(frame_ms) == text
    assert (text or "once servo pulses are there") in proposed_target(frame_ms)


@pytest.mark.parametrize(
    ("facts", "due"),
    [
        ({}, True),
        ({"flips": 19}, False),
        ({"blocks": 2}, False),
        ({"blocks": 2, "flips": 40}, True),
        ({"blocks": 3, "flips": 60}, False),
        ({"prompt": Prompt.HANDS_OFF}, True),
        ({"prompt": Prompt.WAIT_FOR_ANSWER}, False),
        ({"paused": "by-hand"}, False),
        ({"outcome": "complete"}, False),
        ({"wanted": None}, False),
    ],
)
def test_a_switch_on_is_due_once_a_block_has_its_share_and_no_answer_is_awaited(facts, due):
    assert switch_on_due(progress(**facts), 3) is due


def test_one_switch_on_is_never_interrupted():
    assert not switch_on_due(progress(flips=60), 1)


def test_a_choice_of_blocks_says_what_it_means():
    assert "20 flips" in blocks_sentence(3, 60)
    assert "stays on" in blocks_sentence(1, 60)


@pytest.mark.parametrize(
    "link",
    ["looking", "lost", "in-use", "not-allowed", "not-our-probe", "no-program", "old-program", "other-probe", "closed"],
)
def test_no_run_starts_without_a_probe_and_the_reason_is_said(link):
    assert start_refusal(link, {}) not in ("", start_refusal("ready", {"lithium": "stale"}))


def test_with_a_probe_only_the_safety_lines_stand_in_the_way():
    assert start_refusal("ready", {}) == start_refusal("recording", {}) == ""
    assert "Make it safe" in start_refusal("ready", {"lithium": "stale"})
