"""`benchapp reduce`, `check`, `export`, `import` and `ports`."""

import json
import re
import sqlite3

import pytest

from benchapp.cli.reduce_command import FLAGGED
from benchapp.desk.loading import load


def test_findings_are_a_table_for_people(call, session):
    text = call("reduce", session).out.replace("\u00a0", " ")
    assert text.startswith("a\nPRACTICE, SIMULATED\n")
    assert "22 of 22 flips" in text
    assert "From the switch to the end of the servo pulse" in text
    assert "half-way (50 %)" in text
    assert load(session).facts.evidence_hash in text


def test_the_table_has_one_digit_more_than_the_give_or_take(call, session):
    headline = load(session).findings.runs[0].result.headline
    text = call("reduce", session).out.replace("\u00a0", " ")
    give = re.search(r"The figure +\S+ ms, give or take (\S+) ms", text)[1]
    assert float(give) == pytest.approx(headline.expanded_uncertainty_ms, rel=0.1)
    (median,) = [line.split()[1:] for line in text.splitlines() if line.strip().startswith("median")]
    assert {len(number.partition(".")[2]) for number in median} == {len(give.partition(".")[2]) + 1}


def test_one_file_is_a_document_and_several_are_a_list_of_them(call, session, tmp_path):
    one = json.loads(call("reduce", session, "--json").out)
    assert one["format"] == "benchapp findings 1"
    two = json.loads(call("reduce", session, session, "--json").out)
    assert two == [one, one]


def test_where_one_of_several_cannot_be_read_nothing_is_printed(call, session, tmp_path):
    called = call("reduce", session, tmp_path / "none.t2h", "--json")
    assert called.status == 2
    assert called.out == ""


def test_strict_ends_with_one_where_findings_are_flagged(call, tmp_path):
    out = tmp_path / "few.t2h"
    words = ("--probe", "practice://alder?seed=3", "--test", "switch-flip", "--flips", 3, "--yes-safe", "--out", out)
    assert call("record", *words).status == 0
    assert call("reduce", out).status == 0
    strict = call("reduce", out, "--strict")
    assert strict.status == 1
    assert "Not enough data" in strict.out


def test_too_few_flips_are_a_count_in_the_place_of_the_figure(call, tmp_path):
    for flips, told in ((19, "19 of 20 flips that a figure needs"), (20, "ms, give or take")):
        out = tmp_path / f"{flips}.t2h"
        probe = ("--probe", "practice://alder?seed=3", "--test", "switch-flip", "--flips", flips)
        for words in (("record", *probe, "--yes-safe", "--out", out), ("reduce", out)):
            text = call(*words).out.replace("\u00a0", " ")
            (figure,) = [line for line in text.splitlines() if line.strip().startswith("The figure")]
            assert told in figure
            assert ("give or take" in text) is (flips == 20)


def test_strict_ends_with_zero_where_nothing_is_flagged(call, session):
    assert not FLAGGED & set(load(session).findings.runs[0].flags)
    assert call("reduce", session, "--strict").status == 0


def test_strict_ends_with_one_where_evidence_is_damaged_and_nothing_else_is_wrong(call, session):
    assert call("reduce", session, "--strict").status == 0
    connection = sqlite3.connect(session)
    connection.execute("UPDATE block SET data = x'00' WHERE kind = 'levels'")  # the supply's voltage: no flip needs it
    connection.commit()
    connection.close()
    (run,) = load(session).findings.runs
    assert FLAGGED & set(run.flags) == {"damaged-evidence"}
    assert len(run.result.trials) == 22
    assert call("reduce", session).status == 0
    assert call("reduce", session, "--strict").status == 1
    assert call("reduce", session, "--strict", "--json").status == 1


@pytest.mark.parametrize(("answered", "status"), [(19, 1), (20, 0)])
def test_fewer_than_20_answered_flips_are_too_few_everywhere_and_20_are_not(call, tmp_path, answered, status):
    out = tmp_path / "few.t2h"
    words = ("--probe", "practice://alder?seed=31", "--test", "switch-flip", "--flips", answered, "--yes-safe")
    assert call("record", *words, "--out", out).status == 0
    (run,) = load(out).findings.runs
    assert len(run.result.trials) == answered
    strict = call("reduce", out, "--strict")
    assert strict.status == status
    told = strict.out.replace("\u00a0", " ")
    assert ("Not enough data: 19 of the 20 flips" in told) == (status == 1)
    (document,) = json.loads(call("reduce", out, "--json").out)["runs"]
    assert ("insufficient" in document["flags"]) == (status == 1)


def test_a_check_names_the_evidence_code(call, session):
    called = call("check", session)
    assert called.status == 0
    assert load(session).facts.evidence_hash in called.out


@pytest.mark.parametrize(("to", "first"), [("vcd", "$"), ("csv", "")])
def test_evidence_is_exported(call, session, tmp_path, to, first):
    assert call("export", session, "--to", to, "--out", tmp_path / "x").status == 0
    assert (tmp_path / "x").read_text(encoding="utf-8").startswith(first)


def test_a_capture_s_leads_are_named_inverted_and_thresholded(call, tmp_path):
    lines = ["t,contact,rx"]
    time_us, flips = 0, 0
    for frame in range(400):
        thrown = int(frame // 40 % 2)
        flips += frame % 40 == 0 and frame > 0
        width_us = 1900 if thrown else 1100
        lines += [f"{time_us},{thrown},5.0", f"{time_us + 1},{thrown},0.1", f"{time_us + width_us},{thrown},0.1"]
        lines += [f"{time_us + width_us + 1},{thrown},5.0"]
        time_us += 20_000
    (tmp_path / "c.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    words = ("--lead", "contact=switch", "--lead", "rx=output", "--threshold", "rx=2.5,1", "--invert", "rx")
    called = call(
        *("import", tmp_path / "c.csv", "--test", "switch-flip", "--out", tmp_path / "c.t2h"), *words, "--time", "t:us"
    )
    assert (called.status, called.err) == (0, "")
    (run,) = json.loads(call("reduce", tmp_path / "c.t2h", "--json").out)["runs"]
    assert run["latency"]["flips"] == flips == 9
    assert run["frame"]["polarity"] == "high"
    assert run["frame"]["period_ms"] == pytest.approx(20.0)


def test_ports_are_listed(call, monkeypatch):
    monkeypatch.setattr("benchapp.desk.ports.list_ports", list)
    called = call("ports")
    assert called.status == 0
    assert "practice://alder" in called.out


def test_among_several_files_a_refusal_names_the_one_it_means_with_its_folder(call, session, tmp_path):
    (tmp_path / "other").mkdir()
    twin = tmp_path / "other" / session.name
    twin.write_bytes(b"no session")
    called = call("reduce", session, twin)
    assert called.status == 2
    assert str(twin) in called.err
    assert str(session) not in called.err.replace(str(twin), "")
    assert str(twin) not in call("reduce", twin).err
