"""The findings document keeps its contract: every key, every digit, null for what does not exist."""

import json
import math
from dataclasses import replace
from typing import Any

from benchapp.records.findings import PointSummary
from benchapp.records.run import Origin
from benchapp.report.findings_json import document_text, findings_document
from tests.presentation import builders

SUMMARY = {
    "n", "min_ms", "p05_ms", "median_ms", "mean_ms", "p95_ms", "max_ms", "sd_ms", "mean_ci95_ms", "median_ci95_ms",
    "p95_ci95_ms", "median_all_ms", "p95_all_ms", "balanced_mean_ms", "balanced_mean_ci95_ms", "balanced_median_ms",
    "balanced_median_ci95_ms", "balanced_p95_ms", "balanced_p95_ci95_ms", "n_eff",
}  # fmt: skip
POINTS = ("first", "mid", "near_final", "first_lead", "mid_lead", "near_final_lead")
TOP = {"format", "session", "runs"}
SESSION = {"name", "started", "origin", "pick_up", "evidence_hash", "software", "reduction"}
RUN = {"run", "test", "control", "outcome", "flags", "notes", "frame", "latency", "stages", "uncertainty"}
FRAME = {"period_ms", "period_sd_us", "missing_pulses", "glitches"}
LATENCY = {
    "answered", "flips", "excluded", "headline", "no_answer", "switch_ons", "window_s", *POINTS, "up", "down", "phase",
    "expected_frame_sd_ms", "trials",
}  # fmt: skip
HEADLINE = {
    "point", "estimator", "value_ms", "ci95_ms", "expanded_uncertainty_ms", "combined_standard_ms", "k",
    "stopped_itself", "with_hand_drops_ms",
}  # fmt: skip
TRIAL = {
    "flip", "at_s", "direction", "first_ms", "mid_ms", "near_final_ms", "first_lead_ms", "mid_lead_ms",
    "near_final_lead_ms", "phase", "missing_pulses",
}  # fmt: skip


def document(**changes: object) -> dict[str, Any]:
    latency = builders.latency(58, ("no-answer", "no-answer", "dropped"))
    made: dict[str, Any] = findings_document(builders.facts(**changes), builders.findings(builders.run(latency)))
    return made


def test_every_key_of_the_contract_is_there() -> None:
    doc = document()
    assert doc["format"] == "benchapp findings 1"
    assert set(doc) >= TOP
    assert set(doc["session"]) >= SESSION
    assert set(doc["session"]["reduction"]) == {"version", "settings"}
    (run,) = doc["runs"]
    assert set(run) >= RUN
    assert set(run["frame"]) >= FRAME
    latency = run["latency"]
    assert set(latency) >= LATENCY
    assert set(latency["headline"]) >= HEADLINE
    assert set(latency["no_answer"]) == {"flips", "share_ci95"}
    assert set(latency["phase"]) == {"rayleigh_p", "kuiper_p", "largest_gap"}
    for point in POINTS:
        assert set(latency[point]) == SUMMARY
    for direction in ("up", "down"):
        assert set(latency[direction]["mid"]) == SUMMARY
    for trial in latency["trials"]:
        assert set(trial) >= TRIAL
    for flip in latency["excluded"]:
        assert set(flip) >= {"flip", "at_s", "code", "reason"}
    for stage in run["stages"]:
        assert set(stage) >= {"from", "to", "n", "mean_ms", "median_ms"}
    for line in run["uncertainty"]:
        assert set(line) == {"source", "standard_ms", "type", "dof"}


def test_values_are_those_of_the_findings() -> None:
    doc = document()
    latency = doc["runs"][0]["latency"]
    source = builders.latency(58, ("no-answer", "no-answer", "dropped"))
    assert latency["answered"] == 58
    assert latency["flips"] == 61
    assert [trial["flip"] for trial in latency["trials"]] == list(range(1, 59))
    assert [trial["mid_ms"] for trial in latency["trials"]] == [round(trial.mid_ms, 6) for trial in source.trials]
    assert latency["excluded"][0]["reason"] == "no answer within 0.5 s"
    assert [flip["code"] for flip in latency["excluded"]] == ["no-answer", "no-answer", "dropped"]
    assert latency["excluded"][2]["mid_ms"] == 31.25
    assert latency["headline"]["with_hand_drops_ms"] == 24.9


def test_milliseconds_have_six_decimals_and_seconds_nine() -> None:
    latency = builders.latency(1, ())
    trial = replace(latency.trials[0], at_ns=1_234_567_891, mid_ms=22.123456789, phase=0.123456789123)
    run = builders.run(replace(latency, trials=(trial,)))
    (made,) = findings_document(builders.facts(), builders.findings(run))["runs"][0]["latency"]["trials"]  # type: ignore[index,call-overload]
    assert made["at_s"] == 1.234567891
    assert made["mid_ms"] == 22.123457
    assert made["phase"] == 0.123456789123


def test_times_before_the_zero_of_a_capture_stay_exact() -> None:
    latency = builders.latency(1, ())
    trial = replace(latency.trials[0], at_ns=-1)
    run = builders.run(replace(latency, trials=(trial,)))
    doc: Any = findings_document(builders.facts(), builders.findings(run))
    assert doc["runs"][0]["latency"]["trials"][0]["at_s"] == -1e-09


def test_what_does_not_exist_is_null_and_never_zero() -> None:
    latency = builders.latency(0, ("no-answer",))
    bare = replace(
        latency, points={"mid": PointSummary(n=0, mean_ms=math.nan)}, up={}, down={}, window_s=None,
        expected_frame_sd_ms=math.inf,
    )  # fmt: skip
    run = replace(builders.run(bare), frame=None)
    doc: Any = findings_document(builders.facts(started=None), builders.findings(run))
    made = doc["runs"][0]
    assert made["frame"] is None
    assert doc["session"]["started"] is None
    for point in POINTS:
        values = {key: value for key, value in made["latency"][point].items() if key != "n"}
        assert all(value is None or value == [None, None] for value in values.values())
        assert made["latency"][point]["n"] == 0
    assert made["latency"]["window_s"] is None
    assert made["latency"]["expected_frame_sd_ms"] is None
    assert made["latency"]["up"]["mid"]["n"] == 0
    assert made["uncertainty"][0]["dof"] is None


def test_the_text_is_json_without_nan_and_escapes_what_could_turn_a_line_round() -> None:
    name = 'x\u202e<b>&"\x1b'
    doc: Any = findings_document(builders.facts(name=name), builders.findings(builders.run()))
    text = document_text(doc)
    assert json.loads(text)["session"]["name"] == name
    assert text.isascii()
    assert "\x1b" not in text
    assert "NaN" not in text


def test_practice_is_the_origin() -> None:
    assert document(origin=Origin.PRACTICE)["session"]["origin"] == "practice"
