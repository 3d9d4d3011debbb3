"""The blocks of stick tests keep their contract: every key, null for what does not exist, the reason beside it."""

from dataclasses import replace
from typing import Any

import pytest

from benchapp.records.sweep_findings import Linearity, Steadiness
from benchapp.report.findings_json import document_text, findings_document
from tests.presentation import builders
from tests.presentation import stick_builders as sticks

LINEARITY = {
    "against", "span_us", "span_v", "cycles", "positions", "delay_ms", "delay_u_ms", "fitted_hysteresis_pct",
    "fitted_hysteresis_u_pct", "expanded_uncertainty_pct", "independent_pct", "terminal_pct", "zero_based_pct",
    "hysteresis_pct", "repeatability_pct", "least_squares", "dead_band_pct_of_input", "centre_flat_pct_of_input",
    "refresh_ms", "centre_offset_us", "monotonic", "step_us", "distinct_values", "clipped_low", "clipped_high",
    "cubic_pct",
}  # fmt: skip
LEAST_SQUARES = {"slope_us_per_v", "intercept_us", "slope_u", "intercept_u", "residual_sd_us"}
STEADINESS = {
    "sd_us", "peak_to_peak_us", "distinct_values", "frame_period_ms", "frame_sd_us", "longest_gap_ms",
    "missing_pulses", "drift_us_per_min", "drift_u_us_per_min", "drift_resolved", "sd_ci95_us", "told_from_probe",
}  # fmt: skip
ALWAYS = {"independent_u_pct", "terminal_u_pct", "zero_based_u_pct", "hysteresis_resolved", "repeatability_resolved",
          "centre_flat_resolved"}  # fmt: skip
COUNTS = {"cycles", "positions", "strokes", "pulses", "held_s"}


def document(*runs) -> list[dict[str, Any]]:
    made: Any = findings_document(builders.facts(), builders.findings(*runs))
    assert document_text(made)
    return made["runs"]


def test_every_key_of_the_contract_is_there() -> None:
    swept, held = document(sticks.sweep(), sticks.hold())
    assert set(swept["linearity"]) >= LINEARITY
    assert set(swept["linearity"]["least_squares"]) >= LEAST_SQUARES
    assert set(swept["linearity"]) >= ALWAYS
    assert set(held["steadiness"]) >= STEADINESS | {"floor_us", "held_s"}
    assert (swept["linearity"]["against"], swept["linearity"]["positions"]) == ("stick-voltage", 51)
    assert "latency" not in swept
    assert "linearity" not in held


def test_values_are_those_of_the_findings() -> None:
    run, held = sticks.sweep(), sticks.hold()
    block, steady = (doc[key] for doc, key in zip(document(run, held), ("linearity", "steadiness"), strict=True))
    found, still = run.result, held.result
    assert block["independent_pct"] == found.lines["independent"].deviation_pct
    assert block["independent_us"] == found.lines["independent"].deviation_us
    assert block["delay_ms"] == round(found.delay_ms, 6)
    mean_ms = (found.low_us + found.high_us) / 2000
    assert block["expected_flip_ms"] == pytest.approx(found.delay_ms + run.frame.period_ms / 2 + mean_ms, abs=1e-6)
    assert block["least_squares"]["slope_us_per_v"] == found.least_squares.slope
    assert block["distinct_values"] == found.values.count == len(block["values"]["us"])
    assert block["curve"]["v"] == found.curve.x.tolist()
    assert len(block["strokes"]) == 6
    assert steady["sd_us"] == still.sd_us
    assert steady["sd_ci95_us"] == list(still.sd_ci95_us)
    assert (steady["floor_us"], steady["told_from_probe"]) == (still.floor_us, True)
    assert (steady["drift_u_us_per_min"], steady["drift_resolved"]) == (still.drift_u_us_per_min, still.drift_resolved)
    for name in ("independent", "terminal", "zero_based"):
        assert block[f"{name}_u_pct"] == found.lines[name].expanded_u_pct
    assert block["expanded_uncertainty_pct"] == block["independent_u_pct"]
    assert block["cubic_pct"] == found.cubic_pct
    assert sum(steady["values"]["counts"]) == still.pulses
    assert steady["missing_pulses"] == 0


def test_by_stops_the_keys_speak_of_degrees_and_what_moves_is_null() -> None:
    (run,) = document(sticks.stops())
    block = run["linearity"]
    assert (block["against"], block["span_deg"], block["positions"]) == ("angle", 60.0, 9)
    assert block["least_squares"]["slope_us_per_deg"] > 0
    assert not [key for key in block if key == "span_v" or key.endswith("_v")]
    for key in ("delay_ms", "fitted_hysteresis_pct", "dead_band_pct_of_input", "refresh_ms", "clipped_low"):
        assert block[key] is None
        assert block["null_because"][key]
    assert block["hysteresis_pct"] > 0


def test_where_delay_and_hysteresis_are_not_told_apart_neither_is_there_nor_is_the_loop() -> None:
    (run,) = document(sticks.sweep(cycles=1))
    block = run["linearity"]
    assert "one-cycle-only" in run["notes"]
    for key in ("delay_ms", "delay_u_ms", "fitted_hysteresis_pct", "fitted_hysteresis_us", "hysteresis_pct"):
        assert block[key] is None, key
    assert "four strokes" in block["null_because"]["delay_ms"]
    assert block["independent_pct"] > 0
    assert set(block["curve"]["up_us"]) == set(block["curve"]["down_off_us"]) == {None}
    assert None not in block["curve"]["mean_us"]


@pytest.mark.parametrize("note", ["no-stick-samples", "stick-never-moved", "output-did-not-follow"])
def test_what_does_not_exist_is_null_and_never_zero(note: str) -> None:
    bare = Linearity(against="stick-voltage", x_unit="V", cycles=0, positions=0)
    nothing = Steadiness(pulses=0, held_s=12.0)
    run = replace(sticks.sweep(), result=bare, notes=(note,))
    held = replace(sticks.hold(), result=nothing)
    swept, still = document(run, held)
    for block in (swept["linearity"], still["steadiness"]):
        told = {key: value for key, value in block.items() if key not in COUNTS and value not in (None, [], {})}
        assert set(told) <= {"against", "null_because"}, told
    assert set(swept["linearity"]["null_because"]) >= LINEARITY - {
        "against", "span_us", "span_v", "cycles", "positions", "delay_u_ms", "fitted_hysteresis_u_pct",
    }  # fmt: skip
    assert len(set(swept["linearity"]["null_because"].values())) == 1
    assert set(still["steadiness"]["null_because"]) == STEADINESS


@pytest.mark.parametrize("made", [sticks.sweep(), sticks.stops(), sticks.sweep(cycles=1)])
def test_every_null_of_the_contract_has_its_reason(made) -> None:
    (run,) = document(made)
    block = run["linearity"]
    nulls = {key for key in LINEARITY if block.get(key, 0) is None}
    assert nulls - {"delay_u_ms", "fitted_hysteresis_u_pct"} <= set(block["null_because"])
    assert all(block[key] is None for key in block["null_because"])
