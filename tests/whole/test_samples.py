import json

import pytest

from benchapp.desk.checking import check
from benchapp.desk.findings import findings_document
from tests.whole.make_samples import COMPARISON, FOLDER, SAMPLES, compared, expected, make_session

STEMS = [sample.stem for sample in SAMPLES]
SQLITE_WROTE = slice(96, 100)
"""Where an SQLite file says which version of the library wrote it (SQLite, Database File Format, 1.3, from memory)."""


def assert_same(found, wanted, where="") -> None:
    """Compare two documents: every number to nine digits, everything else to the letter."""
    if isinstance(wanted, dict):
        assert wanted.keys() <= found.keys(), where
        for key in wanted:
            assert_same(found[key], wanted[key], f"{where}/{key}")
    elif isinstance(wanted, list):
        assert len(found) == len(wanted), where
        for number, (one, other) in enumerate(zip(found, wanted, strict=True)):
            assert_same(one, other, f"{where}[{number}]")
    elif isinstance(wanted, float):
        assert found == pytest.approx(wanted, rel=1e-9, abs=1e-12), where
    else:
        assert found == wanted, where


@pytest.mark.parametrize("stem", STEMS)
def test_a_sample_session_gives_the_same_findings_for_ever(stem):
    wanted = json.loads(expected(stem).read_text(encoding="utf-8"))
    found = findings_document(FOLDER / f"{stem}.t2h")
    assert wanted["session"].pop("software")
    # A later reduction says so by its version; what version 1 concluded stands beside the session.
    assert found["session"]["reduction"]["version"] == wanted["session"]["reduction"]["version"]
    assert_same(found, wanted)


@pytest.mark.parametrize("stem", STEMS)
def test_a_sample_session_is_whole_and_small(stem):
    session = FOLDER / f"{stem}.t2h"
    assert check(session).ok
    assert session.stat().st_size < 600_000


def without_library(path) -> bytes:
    data = bytearray(path.read_bytes())
    data[SQLITE_WROTE] = bytes(4)
    return bytes(data)


@pytest.mark.parametrize("sample", SAMPLES, ids=STEMS)
def test_a_sample_session_is_remade_to_the_byte(sample, tmp_path):
    remade = tmp_path / f"{sample.stem}.t2h"
    make_session(sample, remade)
    assert check(remade).evidence_hash == check(FOLDER / remade.name).evidence_hash
    assert without_library(remade) == without_library(FOLDER / remade.name), (
        f"the sample is not what its script makes today: python -m tests.whole.make_samples {sample.stem}"
    )


def test_the_far_corner_leaves_flips_out_with_a_reason_each():
    latency = json.loads(expected("cedar-far-corner").read_text(encoding="utf-8"))["runs"][0]["latency"]
    assert latency["flips"] == 61
    assert latency["answered"] < 61
    assert len(latency["excluded"]) == 61 - latency["answered"]
    assert all(flip["reason"] for flip in latency["excluded"])


def test_no_sample_lies_about_without_its_findings():
    assert {path.stem for path in FOLDER.glob("*.t2h")} == set(STEMS)
    documents = {f"{stem}.findings.json" for stem in STEMS} | {COMPARISON.name}
    assert {path.name for path in FOLDER.glob("*.json")} == documents


def test_the_field_day_s_comparison_is_the_same_for_ever():
    wanted, found = json.loads(COMPARISON.read_text(encoding="utf-8")), json.loads(compared())
    for session in wanted["sessions"]:
        assert session.pop("software")
    assert_same(found, wanted)


def test_the_field_day_found_the_quickest_of_three_sets_over_ten_switch_ons_each():
    found = json.loads(COMPARISON.read_text(encoding="utf-8"))
    assert [own["name"] for own in found["sets"]] == ["Alder", "Birch", "Cedar"]
    assert {(own["unit"], own["units"], own["flips"]) for own in found["sets"]} == {("switch-on", 10, 60)}
    assert (found["quickest"]["verdict"], found["quickest"]["sets"]) == ("named", [0])
    assert {pair["verdict"] for pair in found["pairs"]} == {"different"}


def test_the_stick_s_sample_holds_flips_a_sweep_and_a_hold():
    runs = json.loads(expected("cedar-elevator-stick").read_text(encoding="utf-8"))["runs"]
    assert [run["test"] for run in runs] == ["switch-flip", "stick-sweep", "hold-still"]
    assert all(run["outcome"] == "complete" and "insufficient" not in run["flags"] for run in runs)
    flips, sweep, hold = runs
    assert flips["latency"]["answered"] == 60
    assert sweep["linearity"]["delay_ms"] > 0
    assert hold["steadiness"]["peak_to_peak_us"] < 1.0
