"""Corrections entered by hand, how well lengths are known, what waits, and what a stage's prediction covers."""

import math

import numpy as np
import pytest

from benchapp.records.findings import ClockFit
from benchapp.records.run import LeadEvidence, Origin, RunSettings
from benchapp.reduction.ground.durations import clock_is_coarse, width_u_us
from benchapp.reduction.recipes import reduce_run
from tests.reduction.made_runs import MS, Made, lead, random_flips
from tests.waveforms.test_trains import train_edges

CORRECTED = RunSettings(correction_ms=-1.25, correction_within_ms=0.3)


def made_with_module(*, frame_ms: float, channels: int = 4, follows: int = 1) -> tuple[Made, LeadEvidence]:
    made = Made(flips_s=random_flips(40))
    frame = round(frame_ms * MS)
    begun = MS + np.arange(round(made.seconds * 1e9) // frame - 1) * frame
    state = np.searchsorted(made.flip_times_ns(), begun) % 2
    values = np.full((begun.size, channels), 1500.0)
    values[:, follows] = np.where(state, 1900.0, 1100.0)
    edges, _ = train_edges(values, frame_ms=frame_ms)
    return made, LeadEvidence(lead=lead(2, "module"), role="module", edges=edges)


def test_a_correction_moves_every_latency_and_is_a_line_of_the_budget():
    made = Made(flips_s=random_flips(30))
    plain, moved = reduce_run(made.run()), reduce_run(made.run(settings=CORRECTED))
    for before, after in zip(plain.result.trials, moved.result.trials, strict=True):
        assert after.mid_ms - before.mid_ms == pytest.approx(-1.25, abs=1e-9)
        assert after.mid_lead_ms - before.mid_lead_ms == pytest.approx(-1.25, abs=1e-9)
    assert moved.result.headline.value_ms - plain.result.headline.value_ms == pytest.approx(-1.25, abs=1e-9)
    # Right to within ± 0.3 ms, any value alike: 0.3/√3 (JCGM 100:2008, 4.3.7).
    lines = {line.source: line.standard_ms for line in moved.uncertainty}
    assert lines["correction"] == pytest.approx(0.3 / math.sqrt(3))
    assert "correction" not in {line.source for line in plain.uncertainty}
    assert (moved.result.correction_ms, moved.result.correction_within_ms) == (-1.25, 0.3)


def test_a_correction_belongs_to_the_first_stage_and_the_stages_still_add_up():
    made, module = made_with_module(frame_ms=20.0)
    plain = reduce_run(made.run(leads={"module": module}))
    moved = reduce_run(made.run(leads={"module": module}, settings=CORRECTED))
    steps = [after.mean_ms - before.mean_ms for before, after in zip(plain.stages, moved.stages, strict=True)]
    assert steps == pytest.approx([-1.25, 0.0], abs=1e-9)
    assert sum(stage.mean_ms for stage in moved.stages) == pytest.approx(moved.result.headline.value_ms)


def test_two_samplers_spread_the_wait_where_the_train_has_a_frame_of_its_own():
    made, module = made_with_module(frame_ms=7.0, channels=2)
    latency = reduce_run(made.run(leads={"module": module})).result
    assert latency.samplers_ms == pytest.approx((7.0, 20.0), rel=1e-3)
    assert latency.expected_frame_sd_ms == pytest.approx(math.sqrt((7.0**2 + 20.0**2) / 12), rel=1e-3)
    alone = reduce_run(made.run()).result
    assert alone.samplers_ms == pytest.approx((20.0,), rel=1e-3)
    assert alone.expected_frame_sd_ms == pytest.approx(20.0 / math.sqrt(12), rel=1e-3)


def test_the_place_in_the_train_is_a_mean_and_the_prediction_says_what_it_covers():
    made, module = made_with_module(frame_ms=20.0, follows=1)
    first, second = reduce_run(made.run(leads={"module": module})).stages
    # Complete after channels 1 and 2: 1500 µs, and 1100 or 1900 µs as the switch stands; the median would be one of the
    # two. The control is up for a share of the frames that the flips themselves give.
    begun = MS + np.arange(round(made.seconds * 1e9) // (20 * MS) - 1) * 20 * MS
    share = float(np.mean(np.searchsorted(made.flip_times_ns(), begun) % 2))
    place_ms = 1.5 + 1.1 + 0.8 * share
    assert first.predicted_ms == pytest.approx(10.0 + place_ms, abs=0.005)
    assert second.predicted_ms == pytest.approx(20.0 - place_ms, abs=0.005)
    assert (first.covers, second.covers) == ("waiting-and-place", "rest-of-frame")


def test_a_length_is_known_by_its_clock_and_its_two_stamps():
    slow = lead(1, "output", resolution_ns=62.5, lateness_typical_ns=500.0)
    resonator = ClockFit(error_ppm=None, standard_ppm=5000 / math.sqrt(3), applied=False)
    # 1500 µs at 2887 ppm, two stamps of 62.5 ns and two latenesses of 500 ns, each rectangular.
    naive = math.hypot(1500 * 5e-3 / math.sqrt(3), math.sqrt(2 * (0.0625**2 + 0.5**2) / 12))
    assert width_u_us(1500.0, slow, resonator) == pytest.approx(naive)


@pytest.mark.parametrize(("ppm", "coarse"), [(499.0, False), (501.0, True)])
def test_a_clock_worse_than_a_thousandth_is_coarse(ppm, coarse):
    assert clock_is_coarse(ClockFit(error_ppm=None, standard_ppm=ppm, applied=False)) is coarse


def test_a_resonator_without_heartbeats_says_so_and_every_length_carries_its_line():
    made = Made(flips_s=random_flips(30))
    findings = reduce_run(made.run(origin=Origin.PROBE, clock_tolerance_ppm=5000.0))
    assert "coarse-clock" in findings.notes
    assert findings.frame.period_u_ms == pytest.approx(2 * 20.0 * 5e-3 / math.sqrt(3), rel=1e-3)
    assert findings.frame.width_u_us == pytest.approx(2 * 1900 * 5e-3 / math.sqrt(3), rel=1e-3)
    exact = reduce_run(made.run())
    assert "coarse-clock" not in exact.notes
    # A capture states no tolerance: 100 ppm, rectangular.
    assert exact.frame.width_u_us == pytest.approx(2 * 1900 * 1e-4 / math.sqrt(3), rel=1e-3)
