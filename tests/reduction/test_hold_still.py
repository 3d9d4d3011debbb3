"""Holds of a made output: spread, values, frame and drift."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from benchapp.records.errors import NotEnoughData
from benchapp.records.run import LeadEvidence, Pause
from benchapp.records.stream import Gap, Levels
from benchapp.reduction.recipes import reduce_run
from tests.reduction.made_runs import Made, lead, pulse_edges
from tests.reduction.made_sticks import level_lead

S = 1_000_000_000


def held(us, *, frame_ms=20.0, keep=None, gaps=(), leads=None, **changes):
    us = np.asarray(us, float)
    leading = (np.arange(us.size) * frame_ms * 1e6).astype(np.int64) + 1_000_000
    durations = np.rint(us * 1000).astype(np.int64)
    if keep is not None:
        leading, durations = leading[keep], durations[keep]
    output = LeadEvidence(lead=lead(1, "output"), role="output", edges=pulse_edges(1, leading, durations), gaps=gaps)
    facts = {
        "test": "hold-still",
        "stop_ns": int(leading[-1]) + 20_000_000,
        "leads": {"output": output, **(leads or {})},
    }
    return reduce_run(replace(Made(flips_s=(1.0,)).run(), **(facts | changes)))


def test_spread_and_values_are_those_of_the_pulses():
    us = 1500 + np.random.default_rng(1).integers(-2, 3, 2000) * 0.5
    found = held(us).result
    assert found.pulses == 2000
    assert found.sd_us == pytest.approx(np.std(us, ddof=1))
    assert found.peak_to_peak_us == pytest.approx(2.0)
    assert found.values.us.tolist() == [1499, 1499.5, 1500, 1500.5, 1501]
    assert found.values.counts.tolist() == [int(np.sum(us == v)) for v in found.values.us]
    assert found.frame_period_ms == pytest.approx(20.0)
    assert found.frame_sd_us == pytest.approx(0.0, abs=1e-6)
    assert (found.missing_pulses, found.longest_gap_ms) == (0, pytest.approx(20.0))


def test_a_drift_is_the_line_s_slope_a_minute():
    minutes = np.arange(3000) * 0.02 / 60
    us = 1500 + 1.2 * minutes + np.random.default_rng(2).normal(0, 0.2, 3000)
    found = held(us).result
    blocks = (np.rint(us * 1000) / 1000).reshape(24, -1).mean(axis=1)
    line = stats.linregress(minutes.reshape(24, -1).mean(axis=1), blocks)
    assert found.drift_us_per_min == pytest.approx(line.slope)
    # Noise without memory: the standard error of the blocks' line, widened a little for what 24 blocks cannot tell.
    assert 0.999 * line.stderr <= found.drift_u_us_per_min <= 1.6 * line.stderr
    assert found.drift_resolved


def test_missing_pulses_are_counted_and_leave_the_period_alone():
    keep = np.ones(500, bool)
    keep[[100, 101, 102, 300]] = False
    found = held(np.full(500, 1500.0), keep=keep).result
    assert (found.missing_pulses, found.longest_gap_ms) == (4, pytest.approx(80.0))
    assert found.frame_period_ms == pytest.approx(20.0)


def test_no_interval_is_measured_across_a_gap():
    keep = np.ones(500, bool)
    keep[100:150] = False
    gap = Gap(leads=(1,), from_ns=int(2.0e9), to_ns=int(2.99e9), cause="lost")
    findings = held(np.full(500, 1500.0), keep=keep, gaps=(gap,))
    assert "probe-gap" in findings.flags
    assert (findings.result.missing_pulses, findings.result.longest_gap_ms) == (0, pytest.approx(20.0))


@pytest.mark.parametrize(("moved_ms", "counts"), [(45, False), (199, False), (400, True)])
def test_a_stick_on_its_way_as_the_hold_begins_is_no_wander_of_the_output(moved_ms, counts):
    us = np.full(1500, 1500.0) + np.tile([0.0, 0.5], 750)
    us[: moved_ms // 20 + 1] = 1900.0
    touched = Pause(from_ns=moved_ms * 1_000_000, to_ns=2 * S, reason="touched")
    found = held(us, pauses=(touched,)).result
    assert found.peak_to_peak_us == pytest.approx(400.0 if counts else 0.5)
    assert found.held_s == pytest.approx(28.001 + (moved_ms / 1000 if counts else 0))


def test_a_short_hold_before_any_other_pause_still_counts():
    pause = Pause(from_ns=100_000_000, to_ns=2 * S, reason="by-hand")
    assert held(np.full(500, 1500.0), pauses=(pause,)).result.held_s == pytest.approx(8.1, abs=0.01)


def test_several_positions_are_pooled_each_about_its_own_level():
    rng = np.random.default_rng(4)
    us = np.concatenate([level + rng.normal(0, 0.5, 500) for level in (1100, 1500, 1900)])
    pauses = tuple(Pause(from_ns=a * S, to_ns=a * S + S // 2, reason="next-position") for a in (10, 20))
    found = held(us, pauses=pauses).result
    assert [part.median_us for part in found.positions] == pytest.approx([1100, 1500, 1900], abs=0.2)
    assert found.sd_us == pytest.approx(0.5, abs=0.05)
    assert found.peak_to_peak_us == max(part.peak_to_peak_us for part in found.positions)
    assert found.peak_to_peak_us < 5
    assert found.held_s == pytest.approx(29, abs=0.1)


def test_another_pause_opens_no_position_and_its_pulses_do_not_count():
    us = np.full(1000, 1500.0)
    us[250:300] = 1800
    found = held(us, pauses=(Pause(from_ns=4_900_000_000, to_ns=6_100_000_000, reason="touched"),)).result
    assert len(found.positions) == 1
    assert (found.peak_to_peak_us, found.missing_pulses, found.longest_gap_ms) == (0, 0, pytest.approx(20.0))


_AT_S = np.arange(0, 20, 0.004)


@pytest.mark.parametrize(
    ("volts", "moved"),
    [
        (np.full(_AT_S.size, 1.5), False),
        (np.where(_AT_S > 8, 2.5, 1.5), True),
        (np.interp(_AT_S, (0.03, 0.22), (2.8, 1.65)), True),
        (np.interp(_AT_S, (19.8, 20.0), (1.65, 2.8)), True),
        (np.interp(_AT_S, (0, 20), (1.5, 1.55)), False),
    ],
    ids=["still", "in the middle", "as it begins", "as it ends", "a drift of 50 mV"],
)
def test_a_stick_that_was_moved_is_said(volts, moved):
    noise = np.random.default_rng(5).normal(0, 1e-3, _AT_S.size)
    levels = Levels(lead=3, times_ns=np.rint(_AT_S * 1e9).astype(np.int64), values=volts + noise)
    stick = LeadEvidence(lead=level_lead(full_scale_v=3.3), role="stick", levels=levels)
    findings = held(np.full(1000, 1500.0), leads={"stick": stick})
    assert findings.result.stick_moved is moved
    assert ("stick-moved" in findings.notes) is moved


def test_a_short_hold_is_flagged_and_none_at_all_is_said():
    assert "insufficient" in held(np.full(50, 1500.0)).flags
    nothing = held(np.full(50, 1500.0), start_ns=500 * S, stop_ns=510 * S).result
    assert (nothing.pulses, nothing.sd_us, nothing.frame_period_ms) == (0, None, None)
    with pytest.raises(NotEnoughData, match="output"):
        reduce_run(replace(Made(flips_s=(1.0,)).run(), test="hold-still", leads={}))


def test_a_duration_in_ticks_is_one_value_however_its_ends_were_rounded_to_nanoseconds():
    # 62.5 ns ticks: 24,000 of them are 1,500,000 ns, but 24,003 are 1,500,187.5 and were kept as …187 or …188
    us = np.tile([1500.0, 1500.187, 1500.188], 400)
    leading = (np.arange(us.size) * 20e6).astype(np.int64) + 1_000_000
    edges = pulse_edges(1, leading, np.rint(us * 1000).astype(np.int64))
    output = LeadEvidence(lead=lead(1, "output", resolution_ns=62.5), role="output", edges=edges)
    found = held(us, leads={"output": output}).result
    assert found.values.us.tolist() == [1500.0, 1500.1875]
    assert found.values.counts.tolist() == [400, 800]
