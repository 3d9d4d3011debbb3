"""From the practice bench's stick through a session file to the findings: what the bench knows is what they say."""

import json
from pathlib import Path

import pytest
from scipy.stats import t as student

from benchapp.desk.recording import RecordOrder, preset_stops, record
from benchapp.records.run import RunSettings
from benchapp.reduction.recipes import reduce_run
from benchapp.sessions.opening import open_session

RADIOS = ("alder", "birch", "cedar")


def found_and_known(url: str, folder: Path, *, test: str = "stick-sweep", **told):
    order = RecordOrder(
        probe=url,
        test=test,
        out=folder / "s.t2h",
        settings=RunSettings(**(told or {"cycles": 3})),
        confirmed=("practice",),
        truth=folder / "truth.json",
        force=True,
    )
    assert record(order, lambda status: None).trouble is None
    (run,) = open_session(order.out).runs()
    return reduce_run(run), json.loads(order.truth.read_text())


def assert_as_known(found, known) -> None:
    """Linearity within 0.05 % of span and a step, hysteresis within 0.1 % and half a step, ends within a step."""
    step_pct = 100 * known["step_us"] / known["span_us"]
    for name in ("independent", "terminal", "zero_based"):
        assert found.lines[name].deviation_pct == pytest.approx(known[f"{name}_pct"], abs=0.05 + step_pct), name
    assert found.hysteresis_pct == pytest.approx(known["hysteresis_pct"], abs=0.1 + step_pct / 2)
    assert found.span_us == pytest.approx(known["span_us"], abs=2 * known["step_us"])
    assert found.centre_offset_us == pytest.approx(known["centre_offset_us"], abs=2 * known["step_us"])


@pytest.mark.parametrize("radio", RADIOS)
@pytest.mark.parametrize("seed", range(700, 704))
def test_a_sweep_is_what_the_bench_knows(radio, seed, tmp_path):
    findings, truth = found_and_known(f"practice://{radio}?seed={seed}", tmp_path)
    found, known = findings.result, truth["sweep"]
    assert (found.against, found.cycles) == ("stick-voltage", 3)
    assert_as_known(found, known)
    if found.delay_ms is not None:
        assert found.delay_ms == pytest.approx(known["delay_ms"], abs=1.0)
    assert found.step_us == pytest.approx(known["step_us"], abs=0.1 * known["step_us"])
    assert not found.clipped_low
    assert not found.clipped_high
    assert "practice" in findings.flags


@pytest.mark.parametrize(
    "keys",
    [
        "expo=15&bow=2",
        "hysteresis=1&dead_band=0",
        "hysteresis=2&dead_band=0",
        "dead_band=3&hysteresis=0",
        "hysteresis=1&dead_band=1&expo=15",
        "dead_band=1&hysteresis=0&expo=0&bow=0&centre_flat=0",
        "resolution_us=4",
        "stick_delay_ms=90",
        "reverse=1",
        "invert=1&jitter_us=200",
        "centre_flat=3&speed_spread=0.3",
    ],
)
def test_sticks_of_other_kinds_are_what_the_bench_knows(keys, tmp_path):
    findings, truth = found_and_known(f"practice://alder?seed=711&motion=sweep&{keys}", tmp_path)
    found, known = findings.result, truth["sweep"]
    assert_as_known(found, known)
    if found.delay_ms is not None:
        assert found.delay_ms == pytest.approx(known["delay_ms"], abs=1.0)
    assert found.rising_output == ("reverse" not in keys)


def test_a_clipped_end_is_said_and_the_span_is_that_of_the_rest(tmp_path):
    findings, truth = found_and_known("practice://alder?seed=712&motion=sweep&clip=6", tmp_path)
    found, known = findings.result, truth["sweep"]
    assert found.clipped_low
    assert found.clipped_high
    assert found.span_us == pytest.approx(known["span_us"], abs=2 * known["step_us"])


@pytest.mark.parametrize("keys", ["dead_band=2", "dead_band=3&hysteresis=0", "hysteresis=2&dead_band=0"])
@pytest.mark.parametrize("radio", RADIOS)
def test_play_at_the_ends_is_not_taken_for_clipping(radio, keys, tmp_path):
    findings, truth = found_and_known(f"practice://{radio}?seed=7&motion=sweep&{keys}", tmp_path)
    found, known = findings.result, truth["sweep"]
    assert (found.clipped_low, found.clipped_high) == (False, False)
    assert found.span_us == pytest.approx(known["span_us"], abs=2 * known["step_us"])
    assert found.dead_band_pct_of_input == pytest.approx(known["dead_band_pct_of_input"], abs=0.3)


@pytest.mark.parametrize("keys", ["clip=3", "clip=6&dead_band=2", "clip=2&dead_band=1"])
def test_clipping_is_found_with_play_too(keys, tmp_path):
    findings, _ = found_and_known(f"practice://birch?seed=7&motion=sweep&{keys}", tmp_path)
    assert (findings.result.clipped_low, findings.result.clipped_high) == (True, True)


def test_a_wide_centre_flat_and_a_dead_band_are_found_at_their_width(tmp_path):
    url = "practice://alder?seed=713&motion=sweep&centre_flat=4&dead_band=1&hysteresis=0"
    findings, truth = found_and_known(url, tmp_path)
    found, known = findings.result, truth["sweep"]
    step_pct = 100 * known["step_us"] / known["span_us"]
    assert found.centre_flat_pct_of_input == pytest.approx(known["centre_flat_pct_of_input"], abs=0.3 + 2 * step_pct)
    assert found.dead_band_pct_of_input == pytest.approx(known["dead_band_pct_of_input"], abs=0.2 + step_pct)


def test_the_intervals_of_delay_and_hysteresis_cover_the_truth_nine_times_in_ten(tmp_path):
    covered = {"delay": 0, "hysteresis": 0}
    runs = 0
    for seed in range(720, 756):
        findings, truth = found_and_known(f"practice://{RADIOS[seed % 3]}?seed={seed}", tmp_path)
        found, known = findings.result, truth["sweep"]
        if found.delay_ms is None:
            continue
        runs += 1
        k = student.ppf(0.975, found.fit_dof)
        covered["delay"] += abs(found.delay_ms - known["delay_ms"]) <= k * found.delay_u_ms
        off = abs(found.fitted_hysteresis_pct - known["fitted_hysteresis_pct"])
        covered["hysteresis"] += off <= k * found.fitted_hysteresis_u_pct
    assert runs >= 30
    assert covered["delay"] >= 0.9 * runs
    assert covered["hysteresis"] >= 0.9 * runs


def test_strokes_too_much_alike_for_their_noise_leave_delay_and_hysteresis_untold(tmp_path):
    findings, _ = found_and_known("practice://alder?seed=760&motion=sweep&speed_spread=0&noise_us=12", tmp_path)
    found = findings.result
    assert (found.delay_ms, found.fitted_hysteresis_pct) == (None, None)
    assert found.told_apart_why_not == "speed not varied"


@pytest.mark.parametrize("count", [5, 9, 11, 21])
def test_stops_are_what_the_bench_knows(count, tmp_path):
    findings, truth = found_and_known(
        f"practice://birch?seed={count}&stop_s=1.2", tmp_path, cycles=3, stops_deg=preset_stops(count)
    )
    found, known = findings.result, truth["sweep"]
    assert (found.against, found.positions) == ("angle", count)
    assert (found.delay_ms, found.fitted_hysteresis_pct) == (None, None)
    assert_as_known(found, {**known["stops"], "step_us": known["step_us"]})


def test_a_hold_shows_the_bench_s_noise_and_nothing_more(tmp_path):
    findings, truth = found_and_known(
        "practice://cedar?seed=770&noise_us=0.5", tmp_path, test="hold-still", seconds=20.0
    )
    held = findings.result
    assert held.sd_us == pytest.approx(truth["noise_us"], rel=0.1)
    assert held.frame_period_ms == pytest.approx(14.0, abs=1e-3)
    assert held.missing_pulses == 0
    assert held.longest_gap_ms == pytest.approx(14.0, abs=0.01)


def test_a_hold_at_several_positions_takes_each_apart(tmp_path):
    findings, truth = found_and_known(
        "practice://alder?seed=771", tmp_path, test="hold-still", seconds=5.0, positions=3
    )
    held = findings.result
    assert len(held.positions) == 3
    assert held.sd_us == pytest.approx(truth["noise_us"], rel=0.2)
    assert held.positions[2].median_us - held.positions[0].median_us > 700
