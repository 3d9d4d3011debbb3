"""A session recorded with another version of the reduction says so, in one line."""

from dataclasses import replace

import pytest

from benchapp.cli.main import main
from benchapp.desk.software import recorder
from benchapp.presentation.report_page.findings_page import build_page
from benchapp.presentation.report_page.versions import other_version, recorded_with
from benchapp.records.findings import REDUCTION_VERSION
from benchapp.report.findings_json import findings_document
from tests.presentation import builders
from tests.presentation.page_reading import texts
from tests.whole.kept_figures import SESSIONS


@pytest.mark.parametrize(
    ("software", "version"),
    [("benchapp 0.1.0", 1), ("benchapp 0.1.0, reduction 2", 2), ("", 1), ("x, reduction 99999999999", 1)],
)
def test_the_version_is_read_from_what_recorded_it(software, version):
    assert recorded_with(software) == version


def test_this_version_s_own_sessions_are_of_this_version():
    assert recorded_with(recorder()) == REDUCTION_VERSION


@pytest.mark.parametrize(("software", "words"), [("benchapp 0.1.0", "earlier than"), (", reduction 77", "newer than")])
def test_another_version_is_said_once_on_the_page_and_in_the_document(software, words):
    facts, found = builders.facts(software=software), replace(builders.findings(builders.run()), version=2)
    line = other_version(facts, found)
    assert words in line
    assert f"version {found.version} " in line
    assert list(texts(build_page(facts, found, []))).count(line) == 1
    assert findings_document(facts, found)["session"]["recorded_reduction"] == recorded_with(software)


def test_the_same_version_and_a_session_without_a_run_need_no_line():
    found = builders.findings(builders.run())
    assert other_version(builders.facts(software=f"benchapp 1, reduction {found.version}"), found) == ""
    assert other_version(builders.facts(), builders.findings()) == ""


def test_an_old_session_says_so_in_the_terminal_and_a_new_one_does_not(tmp_path, capsys):
    assert main(["reduce", str(SESSIONS / "in-step-60.t2h")]) == 0
    assert "recorded with version 1 of the reduction, earlier than" in capsys.readouterr().out
    new = str(tmp_path / "new.t2h")
    call = [
        "record",
        "--probe",
        "practice://alder",
        "--test",
        "switch-flip",
        "--flips",
        "3",
        "--yes-safe",
        "--out",
        new,
    ]
    assert main(call) == 0
    capsys.readouterr()
    assert main(["reduce", new]) == 0
    assert "of the reduction" not in capsys.readouterr().out
