"""`benchapp compare`: the calls as people type them, with their exit codes and documents."""

import json
import re
import shutil
from pathlib import Path

import pytest

from benchapp.__main__ import run
from benchapp.cli import compare_command
from benchapp.records.events import Event, EventKind
from benchapp.sessions.amending import append_events


@pytest.fixture(scope="session")
def recorded_sets(tmp_path_factory) -> Path:
    """Return a folder with a1, a2 (Alder), b (Birch), each 60 flips over 5 switch-ons, and h, a hold."""
    folder = tmp_path_factory.mktemp("sets")
    for name, probe in (("a1", "alder?seed=1"), ("a2", "alder?seed=2"), ("b", "birch?seed=3")):
        words = ["record", "--probe", f"practice://{probe}", "--test", "switch-flip", "--flips", "60"]
        assert run([*words, "--switch-ons", "5", "--yes-safe", "--out", str(folder / f"{name}.t2h")]) == 0
    words = ["record", "--probe", "practice://cedar?seed=4", "--test", "hold-still", "--seconds", "5", "--yes-safe"]
    assert run([*words, "--out", str(folder / "h.t2h")]) == 0
    return folder


@pytest.fixture
def sets(recorded_sets, tmp_path, monkeypatch) -> Path:
    """Return a copy of that folder, in which calls are made."""
    folder = tmp_path / "sets"
    shutil.copytree(recorded_sets, folder)
    monkeypatch.chdir(folder)
    return folder


def document(call, *words):
    called = call("compare", *words, "--json")
    assert called.status == 0
    return json.loads(called.out)


def test_two_sets_far_apart(call, sets):
    found = document(call, "a1.t2h", "b.t2h")
    (pair,) = found["pairs"]
    assert found["format"] == "benchapp comparison 1"
    assert (pair["a"], pair["b"], pair["verdict"]) == (0, 1, "different")
    assert min(pair["shift_ci95_ms"]) > 0
    assert pair["shift_ci95_ms"][0] < pair["shift_ms"] < pair["shift_ci95_ms"][1]
    assert pair["level"] == 0.95
    assert found["sets"][1]["keeps_step"] is True
    assert found["sets"][1]["units"] == 5
    assert found["sets"][1]["unit"] == "switch-on"
    assert (found["quickest"]["verdict"], found["quickest"]["sets"]) == ("named", [0])


def test_shift_and_figures_are_those_of_the_findings(call, sets):
    found = document(call, "a1.t2h", "b.t2h")
    one, other = (json.loads(call("reduce", name, "--json").out) for name in ("a1.t2h", "b.t2h"))
    assert found["sessions"] == [one["session"], other["session"]]
    headlines = [session["runs"][0]["latency"]["headline"] for session in (one, other)]
    assert [own["value_ms"] for own in found["sets"]] == [head["value_ms"] for head in headlines]
    shift = headlines[1]["value_ms"] - headlines[0]["value_ms"]
    assert found["pairs"][0]["shift_ms"] == pytest.approx(shift, abs=2e-6)
    assert found["sets"][0]["standard_ms"] == headlines[0]["combined_standard_ms"]


def test_two_sets_alike(call, sets):
    (pair,) = document(call, "a1.t2h", "a2.t2h")["pairs"]
    low, high = pair["shift_ci95_ms"]
    assert pair["verdict"] == "cannot-tell"
    assert low < 0 < high
    assert pair["more"]["switch_ons"] is None or pair["more"]["switch_ons"] > 5
    assert pair["at_most_ms"] == max(-low, high)


def test_one_session_twice_ends_with_2_and_its_evidence_code(call, sets):
    called = call("compare", "a1.t2h", "a1.t2h")
    assert called.status == 2
    code = json.loads(call("reduce", "a1.t2h", "--json").out)["session"]["evidence_hash"]
    (line,) = called.err.splitlines()
    assert code in line
    assert called.out == ""


def test_another_test_is_not_compared(call, sets):
    found = document(call, "a1.t2h", "h.t2h")
    assert found["pairs"][0]["verdict"] == "not-the-same-test"
    assert "test" in found["pairs"][0]["differs_in"]
    assert found["pairs"][0]["shift_ms"] is None
    assert found["quickest"]["verdict"] == "not-asked"
    assert "they went through different tests" in call("compare", "a1.t2h", "h.t2h").out


@pytest.mark.parametrize("words", [(), ("a1.t2h",)])
def test_fewer_than_two_files_end_with_2(call, sets, words):
    called = call("compare", *words)
    assert called.status == 2
    (line,) = called.err.splitlines()
    assert "two" in line


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--by", "radio"), "one of set"),
        (("--aim", "0"), "a number from 1e-06"),
        (("--aim", "nan"), "a number from 1e-06"),
        (("--distinct", "maybe"), "one of yes, no, ask"),
        (("--loud",), "--loud"),
    ],
)
def test_what_is_not_understood_ends_with_2_on_one_line(call, sets, words, said):
    called = call("compare", "a1.t2h", "b.t2h", *words)
    assert called.status == 2
    (line,) = called.err.splitlines()
    assert said in line


def test_the_text_says_the_answer_first_in_plain_words(call, sets):
    lines = call("compare", "a1.t2h", "b.t2h").out.replace("\u00a0", " ").splitlines()
    assert lines[0] == "PRACTICE, SIMULATED"
    assert lines[1].startswith("a1 is quicker than b, by ")
    assert "give or take" in lines[1]
    text = "\n".join(lines)
    assert "5 switch-ons, 60 of 60 flips" in text
    assert "95 % interval" in text


def test_what_cannot_be_told_says_how_large_it_could_be_and_what_would_tell(call, sets):
    text = call("compare", "a1.t2h", "a2.t2h").out.replace("\u00a0", " ")
    assert "a1 or a2: these flips cannot tell which is quicker." in text
    assert "If there is a difference, it is no larger than " in text
    assert "more switch-ons each" in text or "No reasonable number" in text


def test_strict_ends_with_1_where_a_pair_cannot_be_told(call, sets):
    assert call("compare", "a1.t2h", "a2.t2h").status == 0
    assert call("compare", "a1.t2h", "a2.t2h", "--strict").status == 1
    assert call("compare", "a1.t2h", "b.t2h", "--strict").status == 0


def test_an_aim_that_is_met_is_said_and_one_that_is_not_too(call, sets):
    met = call("compare", "a1.t2h", "a2.t2h", "--aim", "9").out.replace("\u00a0", " ")
    assert "Any difference is smaller than 9 ms." in met
    assert "no larger than" not in met
    missed = call("compare", "a1.t2h", "a2.t2h", "--aim", "0.1").out.replace("\u00a0", " ")
    assert "A difference of 0.1 ms or more is not ruled out." in missed


def test_a_damaged_session_among_others_is_left_out_said_and_ends_with_1(call, sets):
    (sets / "cut.t2h").write_bytes((sets / "a2.t2h").read_bytes()[:3000])
    called = call("compare", "a1.t2h", "cut.t2h", "b.t2h", "--json")
    assert called.status == 1
    assert len(json.loads(called.out)["sets"]) == 2
    assert "cut.t2h" in called.err.splitlines()[-1]
    assert call("compare", "a1.t2h", "cut.t2h").status == 2


def named(folder: Path, *names: str, **fields) -> None:
    for name in names:
        append_events(folder / f"{name}.t2h", [Event(kind=EventKind.BENCH, at_ns=0, detail=dict(fields))])


def test_sessions_of_one_set_are_taken_together_and_what_is_not_known_is_said(call, sets):
    named(sets, "a1", "a2", set="Alder 3")
    called = call("compare", "a1.t2h", "a2.t2h", "b.t2h", "--by", "set")
    assert called.status == 0
    assert "Nobody said whether the set was switched off and on between a1.t2h and a2.t2h" in called.out
    assert "Alder 3" in called.out
    (own, _) = document(call, "a1.t2h", "a2.t2h", "b.t2h", "--by", "set")["sets"]
    assert (own["sessions"], own["units"]) == ([0, 1], 9)
    words = ("a1.t2h", "a2.t2h", "b.t2h", "--by", "set", "--distinct", "yes")
    assert document(call, *words)["sets"][0]["units"] == 10
    assert "as you said" in call("compare", *words).out


@pytest.mark.parametrize(
    ("typed", "units"), [(["yes\n"], 10), (["perhaps\n", "no\n"], 9), (["not known\n"], 9), ([""], 9)]
)
def test_at_a_terminal_a_person_is_asked(call, sets, monkeypatch, typed, units):
    named(sets, "a1", "a2", set="Alder 3")

    class Terminal:
        def isatty(self):
            return True

        def readline(self):
            return typed.pop(0)

    monkeypatch.setattr(compare_command.sys, "stdin", Terminal())
    called = call("compare", "a1.t2h", "a2.t2h", "b.t2h", "--by", "set", "--json")
    assert "Was the set switched off and on between a1.t2h and a2.t2h? [yes/no/not known]" in called.err
    assert json.loads(called.out)["sets"][0]["units"] == units
    assert typed == []


def test_a_name_made_to_harm_is_shown_harmless(call, sets):
    named(sets, "a1", set="Al\x1b[31mder\u202e\n" + "x" * 5000)
    called = call("compare", "a1.t2h", "b.t2h", "--by", "set")
    assert called.status == 0
    assert "\x1b" not in called.out
    assert "\u202e" not in called.out
    assert max(map(len, called.out.splitlines())) < 400
    assert "\x1b" not in call("compare", "a1.t2h", "b.t2h", "--by", "set", "--json").out


def test_the_report_is_four_files_and_fetches_nothing(call, sets):
    called = call("compare", "a1.t2h", "b.t2h", "--out", "c")
    assert called.status == 0
    assert sorted(path.name for path in (sets / "c").iterdir()) == [
        "comparison.html", "comparison.json", "comparison.pdf", "pairs.csv",
    ]  # fmt: skip
    assert (sets / "c" / "comparison.pdf").read_bytes().startswith(b"%PDF")
    html = (sets / "c" / "comparison.html").read_text(encoding="utf-8")
    assert not re.search(r"(src|href)=\"?https?://", html, re.IGNORECASE)
    assert "a1 is quicker than b" in html
    written = json.loads((sets / "c" / "comparison.json").read_text(encoding="utf-8"))
    assert written == document(call, "a1.t2h", "b.t2h")


def test_a_folder_that_is_not_empty_wants_force_and_keeps_what_is_others(call, sets):
    (sets / "c").mkdir()
    (sets / "c" / "mine.txt").write_text("mine", encoding="utf-8")
    words = ("a1.t2h", "b.t2h", "--out", "c", "--no-pdf")
    refused = call("compare", *words)
    assert refused.status == 2
    assert "not empty" in refused.err
    assert call("compare", *words, "--force").status == 0
    assert call("compare", *words, "--force").status == 0
    names = sorted(path.name for path in (sets / "c").iterdir())
    assert names == ["comparison.html", "comparison.json", "mine.txt", "pairs.csv"]
