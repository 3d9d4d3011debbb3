"""Nobody forgets to raise REDUCTION_VERSION: sessions that never change keep their figures for as long as it stays."""

import json
from pathlib import Path

import pytest

from benchapp.desk.loading import load
from benchapp.records.findings import REDUCTION_VERSION
from tests.whole.kept_figures import SESSIONS, digest, figures_now, kept, main

CLOSED = {
    1: "fbee86d7366df96b6783af865da6522da6557c251af596e42152e103d6957b3e",
    2: "3bd6429017937f90a897fbf6806702e7220720d7e9dc72c25814bd77bc092a63",
}
"""The entries of versions that were given away, by their digest: these are never written anew."""

EVIDENCE = {
    "free-8-by-6": "sha256:d0e8f9ad5f48f",
    "free-two-switch-ons": "sha256:26379d5a2cfea",
    "in-step-5-by-12": "sha256:cd7e3a61106ff",
    "in-step-59": "sha256:f27eb570f74ad",
    "in-step-60": "sha256:9da4d74e6d5e1",
    "locked-24": "sha256:f6f978878629b",
    "mixed": "sha256:08c28db21a4bb",
}

RAISE = (
    "an unchanged session gives another figure: raise REDUCTION_VERSION in benchapp/records/findings.py, then enter "
    "what the new version gives with python -m tests.whole.kept_figures"
)


@pytest.mark.parametrize("stem", EVIDENCE)
def test_the_fixed_sessions_are_the_ones_they_were(stem):
    assert load(SESSIONS / f"{stem}.t2h").facts.evidence_hash.startswith(EVIDENCE[stem])


def test_there_is_an_entry_for_every_version_and_one_figure_at_least_differs_from_each_to_the_next():
    entries = kept()
    assert list(entries) == [str(version) for version in range(1, REDUCTION_VERSION + 1)], RAISE
    for version in range(1, REDUCTION_VERSION):
        assert entries[str(version)]["figures"] != entries[str(version + 1)]["figures"]


def test_the_figures_of_unchanged_sessions_are_those_kept_for_this_version():
    wanted, found = kept()[str(REDUCTION_VERSION)]["figures"], figures_now()
    assert found.keys() == wanted.keys() == EVIDENCE.keys()
    for stem, figures in wanted.items():
        for place, value in figures.items():
            assert place in found[stem], f"{stem}{place} is gone; {RAISE}"
            now = found[stem][place]
            same = now == pytest.approx(value, rel=1e-6, abs=1e-9) if isinstance(value, float) else now == value
            assert same, f"{stem}{place} was {value} and is {now}; {RAISE}"


def test_entries_of_versions_given_away_are_never_touched():
    entries = kept()
    assert {int(version) for version, entry in entries.items() if entry["closed"]} == CLOSED.keys()
    assert {version: digest(entries[str(version)]) for version in CLOSED} == CLOSED
    # Only the newest may still be open.
    assert set(range(1, REDUCTION_VERSION)) <= CLOSED.keys()


def test_the_script_refuses_to_write_a_closed_entry_anew(tmp_path: Path, monkeypatch, capsys):
    file = tmp_path / "kept.json"
    file.write_text(json.dumps({str(REDUCTION_VERSION): {"closed": True, "figures": {}}}))
    monkeypatch.setattr("tests.whole.kept_figures.KEPT", file)
    before = file.read_bytes()
    assert main(["--again"]) == 1
    assert "Raise REDUCTION_VERSION" in capsys.readouterr().out
    assert file.read_bytes() == before
