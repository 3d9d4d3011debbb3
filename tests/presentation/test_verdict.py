"""The verdict and what it means."""

import math
from dataclasses import replace

import pytest

from benchapp.presentation.flips.flip_verdict import largest_budget_line
from benchapp.presentation.report_page.verdict import meaning, verdict
from benchapp.records.findings import BudgetLine, PointSummary, RunFindings
from tests.presentation import builders


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def all_meaning(run: RunFindings) -> str:
    return plain(" ".join(meaning(run)))


def test_the_verdict_is_one_sentence_with_the_figure_and_its_give_or_take() -> None:
    latency = builders.latency()
    latency = replace(latency, headline=replace(latency.headline, value_ms=24.3137, expanded_uncertainty_ms=0.5843))
    assert plain(verdict(builders.run(latency))) == (
        "From the switch to the end of the servo pulse that answers it, this set took 24.31 ms, give or take 0.58 ms, "
        "on average over this switch-on of the transmitter; any switch-on: 22 ms, give or take 13 ms."
    )


def test_too_few_flips_are_not_enough_data_whatever_the_figure() -> None:
    run = builders.run(builders.latency(7, ()), flags=("insufficient",))
    assert plain(verdict(run)) == "Not enough data: 7 of the 20 flips that a figure needs were answered."


def test_without_a_single_answer_it_says_cannot_tell() -> None:
    assert verdict(builders.run(builders.latency(0, ("no-answer",) * 5), flags=("insufficient",))) == (
        "Cannot tell: no flip was answered."
    )
    assert verdict(builders.run(builders.latency(0, ()), flags=("insufficient",))) == "Cannot tell: no flip was seen."


def test_a_run_that_kept_step_says_so_in_the_verdict_itself() -> None:
    assert "kept step with the radio" in verdict(builders.run(flags=("phase-locked",)))


def test_a_stick_is_never_called_a_switch() -> None:
    text = verdict(builders.run(replace(builders.latency(), control="stick")))
    assert text.startswith("From the stick passing its middle")


def test_the_figure_is_said_in_distance() -> None:
    latency = builders.latency()
    latency = replace(latency, headline=replace(latency.headline, value_ms=30.0))
    assert "At 20 m/s the model moves 0.60 m in 30 ms." in all_meaning(builders.run(latency))


@pytest.mark.parametrize(
    ("sd_ms", "words"),
    [
        (6.5, "nearly all of the spread is waiting"),
        (9.2, "about 50 % of its square, the variance, is waiting"),
        (60.0, "hardly any of its square, the variance, is waiting"),
        (3.0, "less widely than chance"),
    ],
)
def test_the_spread_is_compared_with_waiting_for_a_frame(sd_ms: float, words: str) -> None:
    latency = builders.latency()
    mid = replace(latency.points["mid"], sd_ms=sd_ms)
    latency = replace(latency, points={**latency.points, "mid": mid}, expected_frame_sd_ms=22.5 / 12**0.5)
    text = all_meaning(builders.run(latency))
    assert words in text
    assert "6.5 ms" in text


def test_the_largest_line_of_the_budget_is_named_in_words() -> None:
    assert "The largest part of the uncertainty is the number of flips (0.29 ms" in all_meaning(builders.run())
    lines = (
        BudgetLine(source="sampling", standard_ms=0.3, kind="A", dof=59.0),
        BudgetLine(source="switch-on", standard_ms=6.5, kind="B", dof=None),
    )
    largest = largest_budget_line(lines)
    assert largest is not None
    assert largest.source == "switch-on"
    assert largest_budget_line(()) is None


def test_flips_dropped_by_hand_are_counted_and_the_figure_is_given_with_them() -> None:
    latency = builders.latency(58, ("dropped", "dropped"))
    latency = replace(latency, headline=replace(latency.headline, value_ms=24.31, with_hand_drops_ms=24.9))
    assert "Two flips were dropped by hand: with them the figure would be 24.90 ms instead of 24.31 ms." in all_meaning(
        builders.run(latency)
    )


def test_unanswered_flips_are_counted_with_their_interval() -> None:
    text = all_meaning(builders.run())
    assert "Two of 61 flips got no answer within 0.5 s; the true share" in text
    assert "between 0.4 % and 11 %" in text
    assert "no answer" not in all_meaning(builders.run(builders.latency(60, ())))


def test_two_samplers_are_both_waited_for() -> None:
    latency = replace(
        builders.latency(60, ()), samplers_ms=(7.0, 22.5), expected_frame_sd_ms=math.hypot(7.0, 22.5) / math.sqrt(12)
    )
    said = all_meaning(builders.run(latency))
    assert "Waiting for the next pulse train (one every 7 ms) and then for the next frame (one every 22.5 ms)" in said
    assert "waiting for both" in said


def test_a_run_without_any_value_still_has_words() -> None:
    latency = builders.latency(2, ())
    empty = replace(
        latency,
        points={"mid": PointSummary(n=2)},
        headline=replace(latency.headline, value_ms=None, expanded_uncertainty_ms=None, k=None),
        any_switch_on=replace(latency.any_switch_on, value_ms=None, expanded_uncertainty_ms=None, k=None),
        expected_frame_sd_ms=None,
        window_s=None,
    )
    run = replace(builders.run(empty), frame=None, uncertainty=())
    assert verdict(run) == "Cannot tell: the flips give no figure."
    assert meaning(run) == ()
