"""What the next switch-on may bring is said once wherever findings stand, and never in two ways."""

import re

import pytest

from benchapp.cli.findings_text import findings_lines
from benchapp.desk.loading import load
from benchapp.desk.reporting import write_report
from benchapp.presentation.report_page.findings_page import build_page
from tests.presentation.page_reading import whole_text
from tests.whole.kept_figures import SESSIONS

SAID = re.compile(r"the figure (may|will) differ, by as much as a frame")


# A set that keeps step shows it from 60 flips on (the definition of `one-power-up`); before that it cannot be known.
@pytest.mark.parametrize(("session", "word"), [("in-step-59", "may"), ("in-step-60", "will")])
def test_of_one_switch_on_exactly_one_sentence_stands_in_every_place(tmp_path, session, word):
    loaded = load(SESSIONS / f"{session}.t2h")
    write_report(SESSIONS / f"{session}.t2h", tmp_path / "report", pdf=False)
    places = {
        "terminal": "\n".join(findings_lines(loaded)),
        "window and paper": whole_text(build_page(loaded.facts, loaded.findings, loaded.runs)),
        "report": (tmp_path / "report" / "report.html").read_text(encoding="utf-8"),
    }
    for place, text in places.items():
        assert SAID.findall(text) == [word], place


def test_of_several_switch_ons_none_stands():
    loaded = load(SESSIONS / "in-step-5-by-12.t2h")
    assert loaded.findings.runs[0].result.switch_ons == 5
    assert not SAID.search("\n".join(findings_lines(loaded)))
    assert not SAID.search(whole_text(build_page(loaded.facts, loaded.findings, loaded.runs)))
