"""Stragglers and trends as people read them."""

from dataclasses import replace

from benchapp.presentation.flips.straggler_words import (
    straggler_limit,
    straggler_sentence,
    trend_sentence,
    usual_sentence,
)
from benchapp.presentation.live.run_view import run_view
from benchapp.presentation.report_page.verdict import meaning
from benchapp.procedures.ground.progress import Prompt, RunProgress, StopReason
from benchapp.records.findings import Stragglers, Trend
from tests.presentation import builders

NONE = Stragglers(
    flips=0,
    answered=60,
    later_than_ms=92.5,
    share_ci95=(0.0, 0.0487),
    earliest_ms=None,
    latest_ms=None,
    mean_all_ms=36.4,
)
TWO = replace(NONE, flips=2, share_ci95=(0.0041, 0.1153), earliest_ms=212.0, latest_ms=240.4, mean_all_ms=42.83)


def plain(text: str) -> str:
    return text.replace("\u00a0", " ").replace("\u202f", " ")


def test_with_none_seen_it_is_said_how_many_there_may_be_and_how_sure_that_is():
    assert plain(straggler_sentence(NONE)) == (
        "No answer straggled; of such a set's flips at most 4.9 % do (95 % sure)."
    )


def test_some_are_counted_with_how_late_they_came_and_the_interval_of_their_share():
    said = plain(straggler_sentence(TWO))
    assert said.startswith("Two of 60 answers straggled")
    assert "212 to 240 ms after the flip" in said
    assert "between 0.41 % and 12 % of such a set's flips do (95 % sure)" in said
    one = replace(TWO, flips=1, latest_ms=212.0)
    assert "came 212 ms after the flip" in plain(straggler_sentence(one))


def test_the_mean_of_all_is_printed_beside_the_figure_and_only_where_it_is_another():
    headline = builders.latency().headline
    assert "42.83 ms" in plain(usual_sentence(TWO, headline))
    assert usual_sentence(NONE, headline) == ""


def test_nothing_is_said_where_nothing_is_known():
    unknown = replace(NONE, later_than_ms=None, share_ci95=(None, None))
    assert straggler_sentence(unknown) == straggler_sentence(None) == straggler_limit(unknown) == ""


def test_the_findings_say_both_and_a_trend_with_its_size():
    latency = replace(
        builders.latency(),
        stragglers=TWO,
        trend=Trend(ms_per_min=-1.2, ms_over_run=-3.61, standard_ms_per_min=0.2, significant=True),
    )
    said = plain(" ".join(meaning(builders.run(latency))))
    assert "Two of 60 answers straggled" in said
    assert "plain mean of all" in said
    assert "fell by 3.6 ms (1.2 ms a minute)" in said


def test_a_slope_that_chance_could_make_is_no_trend():
    small = Trend(ms_per_min=0.2, ms_over_run=0.3, standard_ms_per_min=0.2, significant=False)
    assert trend_sentence(small) == trend_sentence(None) == ""
    assert "rose by" in trend_sentence(replace(small, significant=True))


def test_a_run_that_stopped_at_its_target_never_ends_without_the_stragglers():
    run = RunProgress(
        run=1,
        test="switch-flip",
        prompt=Prompt.DONE,
        flips=60,
        answered=60,
        outcome="complete",
        stop_reason=StopReason.TARGET_MET.value,
        stragglers=NONE,
    )
    assert "at most 4.9 % do" in plain(run_view(run).sentence)
    assert "at most 4.9 % do" in plain(run_view(replace(run, stragglers=NONE)).sentence)
    assert "Two of 60" in plain(run_view(replace(run, stragglers=TWO)).sentence)


def test_over_many_switch_ons_it_is_their_number_that_counts_and_not_the_flips():
    def largest(blocks: int) -> str:
        run = builders.run(builders.latency(60, (), blocks=blocks))
        sampling = tuple(line for line in run.uncertainty if line.source == "sampling")
        return " ".join(meaning(replace(run, uncertainty=sampling)))

    assert "is the number of switch-ons, and how far they lie apart" in largest(10)
    assert "is the number of flips" in largest(1)
