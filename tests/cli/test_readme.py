"""The README's own lines, as they are written, in a fresh folder."""

import re
import shlex
import subprocess
from pathlib import Path

import pytest

from benchapp.cli.arguments import parser
from benchapp.desk.loading import load

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")


def block(heading: str) -> list[list[str]]:
    """The calls in the first block of code under a heading, each as its words."""
    part = README.partition(f"## {heading}\n")[2]
    lines = re.search(r"```sh\n(.*?)```", part, re.DOTALL).group(1).splitlines()
    return [shlex.split(line, comments=True) for line in lines]


def test_every_line_that_needs_no_hardware_does_what_it_says(call, tmp_path, monkeypatch):
    shown = []
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "home"))
    monkeypatch.setattr("benchapp.app.main.run", lambda session, *, bench="": shown.append(session) or 0)
    calls = block("What you can do with no hardware")
    assert len(calls) > 10
    for program, *words in calls:
        assert program == "benchapp"
        called = call(*words)
        assert called.status == 0, (words, called.err)
        if words[0] == "record":
            assert "PRACTICE, SIMULATED" in called.out
    assert shown == ["a.t2h"]
    written = {path.name for path in tmp_path.iterdir()}
    assert {"a.t2h", "a-report", "s.t2h", "h.t2h", "shared.t2h", "a.vcd", "b.t2h"} <= written
    assert {path.name for path in (tmp_path / "a-report").iterdir()} >= {"report.html", "report.pdf", "trials.csv"}
    assert load(tmp_path / "shared.t2h").facts.evidence_hash == load(tmp_path / "a.t2h").facts.evidence_hash


@pytest.mark.parametrize("words", block("With a capture from another instrument"), ids=" ".join)
def test_the_line_for_a_capture_is_understood(words):
    assert parser().parse_args(words[1:]).command == "import"


def test_every_command_and_option_that_is_named_exists():
    known = subprocess.run(["benchapp", "--help"], capture_output=True, text=True, check=True, timeout=120).stdout
    for named in re.findall(r"`benchapp ([a-z]+)", README):
        assert f"\n    {named} " in known, named


def test_its_pictures_come_before_the_two_commands_and_are_there():
    before, _, _ = README.partition("## Two commands")
    named = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", before)
    assert named == ["resources/pictures/run-page.png", "resources/pictures/report-first-sheet.png"]
    for place in named:
        picture = (Path(__file__).parents[2] / place).read_bytes()
        assert picture.startswith(b"\x89PNG")
        assert len(picture) < 250_000
