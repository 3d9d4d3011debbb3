"""A named test that no product file knows goes all the way: offered, run, kept, reduced, checked, shown and filed."""

import ast
import csv
import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

import benchapp
from benchapp.__main__ import run
from benchapp.cli.call_options import CALLS, CallOptions
from benchapp.desk.named_tests import register, unregister, whole_test
from benchapp.presentation.ground.card import CardWords
from benchapp.presentation.ground.shown_test import ShownTest
from benchapp.probe.practice.radios import RADIOS
from benchapp.procedures.ground.run_part import RunPart
from benchapp.records.errors import WrongCall
from benchapp.records.named_tests import names_of_tests
from benchapp.reduction.ground.recipe import Recipe
from benchapp.report.filed_test import FiledTest
from benchapp.ui.screens.tests_page.test_options import OPTIONS
from tests.whole.pulse_count import NAME, WHOLE

SECONDS = 4
PERIOD_MS = RADIOS["birch"].frame_ns / 1e6
"""The practice radio's frame: the count that is expected follows from it alone."""
PROBE = "practice://birch?seed=3"


@pytest.fixture(scope="module", autouse=True)
def registered():
    shipped = names_of_tests()
    assert NAME not in shipped
    register(WHOLE)
    yield
    unregister(NAME)
    assert names_of_tests() == shipped


@pytest.fixture(scope="module")
def session(registered, tmp_path_factory):
    path = tmp_path_factory.mktemp("counted") / "counted.t2h"
    words = ["record", "--probe", PROBE, "--test", NAME, "--seconds", str(SECONDS), "--yes-safe", "--out", str(path)]
    assert run(words) == 0
    return path


def call(capsys, *words):
    capsys.readouterr()
    status = run([str(word) for word in words])
    said = capsys.readouterr()
    assert status == 0, said.err
    return said.out


def block(capsys, path):
    (found,) = json.loads(call(capsys, "reduce", path, "--json"))["runs"]
    assert found["test"] == NAME
    return found["pulse_count"]


def test_it_is_found_whole_and_its_name_is_its_own():
    assert whole_test(NAME) == WHOLE
    for shipped in ("switch-flip", "stick-sweep", "hold-still"):
        assert whole_test(shipped).test.name == shipped
    with pytest.raises(WrongCall, match="already"):
        register(_renamed("switch-flip"))
    unregister("switch-flip")  # a shipped one stays
    assert whole_test("switch-flip").filed.block_name == "latency"


def _renamed(name):
    return replace(WHOLE, test=replace(WHOLE.test, name=name))


def test_record_offers_it_and_says_what_it_lacks(capsys, tmp_path):
    assert NAME in call(capsys, "record", "--help")
    out = tmp_path / "no.t2h"
    assert run(["record", "--probe", PROBE, "--test", NAME, "--yes-safe", "--out", str(out)]) == 2
    assert "say --seconds" in capsys.readouterr().err
    assert run(["record", "--probe", PROBE, "--test", NAME, "--flips", "3", "--yes-safe", "--out", str(out)]) == 2
    assert "--flips is for switch-flip" in capsys.readouterr().err
    assert not out.exists()


def test_its_session_is_whole_and_its_count_is_what_the_frame_leads_to_expect(capsys, session):
    call(capsys, "check", session)
    found = block(capsys, session)
    assert found["pulses"] == pytest.approx(SECONDS * 1000 / PERIOD_MS, abs=2)
    assert found["seconds"] == pytest.approx(SECONDS)
    assert len(found["each_second"]) == SECONDS
    said = call(capsys, "reduce", session)
    assert f"the output gave {found['pulses']} servo pulses" in said
    assert "Count the pulses" in said


def test_its_report_has_it_on_paper_and_in_files(capsys, session, tmp_path):
    call(capsys, "report", session, "--out", tmp_path / "report")
    found = block(capsys, session)
    html = (tmp_path / "report" / "report.html").read_text(encoding="utf-8")
    for said in (f"the output gave {found['pulses']} servo pulses", "Second by second", "Pulse count"):
        assert said in html
    assert (tmp_path / "report" / "report.pdf").read_bytes().startswith(b"%PDF")
    filed = json.loads((tmp_path / "report" / "findings.json").read_text(encoding="utf-8"))
    assert filed["runs"][0]["pulse_count"] == found
    with (tmp_path / "report" / "counts.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [int(row["pulses"]) for row in rows] == found["each_second"]
    assert {row["test"] for row in rows} == {NAME}


@pytest.mark.parametrize("form", ["vcd", "csv"])
def test_exported_and_imported_it_counts_the_same(capsys, session, tmp_path, form):
    capture, again = tmp_path / f"counted.{form}", tmp_path / "again.t2h"
    call(capsys, "export", session, "--to", form, "--out", capture)
    call(capsys, "import", capture, "--test", NAME, "--out", again)
    assert block(capsys, again) == block(capsys, session)


def test_a_capture_without_its_lead_is_refused(capsys, tmp_path):
    capture = tmp_path / "other.csv"
    capture.write_text("time_s,switch\n0,0\n1,1\n", encoding="utf-8")
    assert run(["import", str(capture), "--test", NAME, "--out", str(tmp_path / "other.t2h")]) == 2
    assert "needs a lead clipped to output" in capsys.readouterr().err


def test_without_it_its_session_says_which_tests_there_are(capsys, session):
    unregister(NAME)
    try:
        assert run(["reduce", str(session)]) != 0
        assert f"is a test '{NAME}'" in capsys.readouterr().err
    finally:
        register(WHOLE)


@pytest.mark.parametrize(
    ("name", "block"), [("switch-flip", "latency"), ("stick-sweep", "linearity"), ("hold-still", "steadiness")]
)
def test_every_room_holds_the_part_of_a_shipped_test_that_it_asks_for(name, block):
    whole = whole_test(name)
    assert whole.filed.block_name == block
    assert name in whole.card.help_pages
    assert (type(whole.run), type(whole.recipe), type(whole.card)) == (RunPart, Recipe, CardWords)
    assert isinstance(whole.shown, ShownTest)
    assert isinstance(whole.filed, FiledTest)
    assert isinstance(CALLS.of(name), CallOptions)
    assert callable(OPTIONS.of(name))


def _names_outside_their_own(texts):
    """Return the product files that name a shipped test and are no part of one, with what they name."""
    own = re.compile(r"(?:^|/)(?:for_)?(?:flips|sweep|hold)(?:/|_options\.py$|\.py$)|^records/named_tests\.py$")
    shipped = {"switch-flip", "stick-sweep", "hold-still"}
    found = {}
    for path, text in texts.items():
        words = {node.value for node in ast.walk(ast.parse(text)) if isinstance(node, ast.Constant)}
        if not own.search(path) and words & shipped:
            found[path] = words & shipped
    return found


def test_no_product_file_but_the_list_and_a_test_s_own_names_a_test():
    product = Path(benchapp.__file__).parent
    texts = {str(path.relative_to(product)): path.read_text(encoding="utf-8") for path in product.rglob("*.py")}
    assert _names_outside_their_own(texts) == {}
    asking = {"desk/asking.py": 'if test == "hold-still":\n    pass\n', "cli/hold_options.py": 'NAME = "hold-still"\n'}
    assert _names_outside_their_own(asking) == {"desk/asking.py": {"hold-still"}}
