"""Stragglers and a trend through the whole reduction of a run."""

import math

import pytest

from benchapp.reduction.recipes import reduce_run
from tests.reduction.made_runs import Made, random_flips

FRAME_MS = 20.0


def reduced(**facts):
    return reduce_run(Made(period_ms=FRAME_MS, flips_s=random_flips(60), seconds=75, **facts).run())


def test_the_figure_is_that_of_the_usual_answers_and_the_tables_keep_all():
    clean, findings = reduced(), reduced(late_ms={7: 240.0, 31: 200.0})
    latency, usual = findings.result, clean.result
    assert latency.stragglers.flips == 2
    assert findings.notes == ("stragglers: 2",)
    assert len(latency.trials) == latency.points["mid"].n == 60
    late = sorted(t.mid_ms for t in latency.trials)[-2:]
    assert (latency.stragglers.earliest_ms, latency.stragglers.latest_ms) == tuple(late)
    assert latency.points["mid"].max_ms == late[-1]
    # Two of sixty flips left out of an even spread over one frame move its mean by at most a frame's thirtieth.
    assert latency.headline.value_ms == pytest.approx(usual.headline.value_ms, abs=FRAME_MS / 30)
    assert latency.stragglers.mean_all_ms == pytest.approx(sum(t.mid_ms for t in latency.trials) / 60)
    assert latency.stragglers.mean_all_ms > latency.headline.value_ms + 5
    assert latency.headline.up + latency.headline.down == 58


def test_stages_rest_on_the_usual_answers_and_add_up_to_the_figure():
    findings = reduced(late_ms={7: 240.0})
    assert {stage.n for stage in findings.stages} == {59}
    assert sum(stage.mean_ms for stage in findings.stages) == pytest.approx(findings.result.headline.value_ms)


def test_one_straggler_does_not_make_a_set_in_step_look_free():
    assert reduced(late_ms={7: 240.0}).result.keeps_step is reduced().result.keeps_step is True


def test_a_trend_is_noted_and_enters_the_budget_as_a_rectangle():
    # 24 ms more from the first to the last flip; a frame's wait of its own spreads each by 5.8 ms.
    findings = reduced(late_ms={number: 24.0 * number / 60 for number in range(1, 61)})
    trend = findings.result.trend
    assert trend.significant
    assert "trend" in findings.notes
    assert trend.ms_over_run == pytest.approx(24.0, abs=4 * trend.standard_ms_per_min * 1.1)
    (line,) = [line for line in findings.uncertainty if line.source == "trend"]
    # A value anywhere in a range w has the standard uncertainty w/√12 (JCGM 100:2008, 4.3.7).
    assert line.standard_ms == pytest.approx(trend.ms_over_run / math.sqrt(12))
    assert line in findings.result.any_switch_on.lines


def test_a_run_without_one_has_no_line_and_no_note():
    findings = reduced()
    assert findings.notes == ()
    assert findings.result.trend is not None
    assert not findings.result.trend.significant
    assert "trend" not in {line.source for line in findings.uncertainty}
