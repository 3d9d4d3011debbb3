"""Opening a capture in the window: which column is what, then a session."""

import pytest

from benchapp.desk.exporting import export
from benchapp.desk.loading import load
from benchapp.records.run import PickUp
from benchapp.records.sweep_findings import Steadiness
from benchapp.ui.kept.steps import Step
from tests.ui.made_sessions import made_session


@pytest.fixture(scope="module")
def captures(tmp_path_factory):
    folder = tmp_path_factory.mktemp("captures")
    session = made_session(folder / "alder.t2h", "alder", flips=24)
    export(session, folder / "alder.vcd", to="vcd")
    text = (folder / "alder.vcd").read_text()
    # As another instrument would have it: no notes of ours, and names of its own.
    lines = [line for line in text.splitlines() if "benchapp" not in line]
    renamed = "\n".join(lines).replace(" switch ", " contact ").replace(" output ", " rxpin ")
    (folder / "bench.vcd").write_text(renamed + "\n")
    return {"session": session, "vcd": folder / "bench.vcd", "folder": folder}


def opened(window, qtbot, path):
    window.open_path(path)
    qtbot.waitUntil(lambda: bool(window.pages.capture.rows), timeout=20000)
    return window.pages.capture


def row(page, name):
    return next(row for row in page.rows if row.lead.name == name)


def test_a_capture_shows_its_leads_with_a_likely_role_each(open_window, qtbot, captures):
    window = open_window()
    page = opened(window, qtbot, captures["vcd"])
    assert page.isVisible()
    assert row(page, "contact").chosen_role() == "switch"
    assert row(page, "rxpin").chosen_role() == "output"
    assert page.make_button.isEnabled()


def test_a_session_is_made_of_it_and_its_findings_open(open_window, qtbot, captures):
    window = open_window()
    page = opened(window, qtbot, captures["vcd"])
    page.make_button.click()
    qtbot.waitUntil(lambda: window.session.now is not None, timeout=20000)
    assert window.step is Step.FINDINGS
    found = window.session.now.loaded.findings.runs[0].result
    wanted = load(captures["session"]).findings.runs[0].result
    assert [t.mid_ms for t in found.trials] == pytest.approx([t.mid_ms for t in wanted.trials])


def test_without_a_switch_or_an_output_the_page_says_what_is_missing(open_window, qtbot, captures):
    page = opened(open_window(), qtbot, captures["vcd"])
    row(page, "contact").role.setCurrentIndex(0)
    assert not page.make_button.isEnabled()
    assert "switch" in page.reason.text()
    row(page, "contact").role.setCurrentIndex(row(page, "contact").role.findData("output"))
    assert "Two leads are clipped to the servo output" in page.reason.text()


def test_how_the_flip_reached_the_instrument_is_asked_and_widens_the_uncertainty(open_window, qtbot, captures):
    window = open_window()
    page = opened(window, qtbot, captures["vcd"])
    page.pick_up.setCurrentIndex(page.pick_up.findText("a contact taped to the lever"))
    page.make_button.click()
    qtbot.waitUntil(lambda: window.session.now is not None, timeout=20000)
    loaded = window.session.now.loaded
    assert loaded.facts.pick_up is PickUp.TAPED
    budget = {line.source: line.standard_ms for line in loaded.findings.runs[0].uncertainty}
    assert budget["pick-up"] > 0


@pytest.mark.parametrize(("test", "wanted"), [("stick-sweep", "stick"), ("hold-still", "servo output")])
def test_a_capture_of_the_stick_says_what_it_needs_and_asks_no_flip(open_window, qtbot, captures, test, wanted):
    page = opened(open_window(), qtbot, captures["vcd"])
    page.test.setCurrentIndex(page.test.findData(test))
    assert not page.pick_up.isVisible()
    for found in page.rows:
        found.role.setCurrentIndex(0)
    row(page, "contact").role.setCurrentIndex(row(page, "contact").role.findData("module"))
    assert not page.make_button.isEnabled()
    assert wanted in page.reason.text()


def test_a_hold_is_made_of_a_capture_with_an_output_alone(open_window, qtbot, captures):
    window = open_window()
    page = opened(window, qtbot, captures["vcd"])
    page.test.setCurrentIndex(page.test.findData("hold-still"))
    row(page, "contact").role.setCurrentIndex(0)
    page.make_button.click()
    qtbot.waitUntil(lambda: window.session.now is not None, timeout=20000)
    run = window.session.now.loaded.findings.runs[0]
    assert run.test == "hold-still"
    assert isinstance(run.result, Steadiness)


def test_a_broken_capture_is_refused_in_the_bar_with_file_and_line(open_window, qtbot, tmp_path):
    path = tmp_path / "torn.csv"
    path.write_text("time_s,switch,output\n0,0,0\n0.1,zero,1\n")
    window = open_window()
    window.open_path(path)
    qtbot.waitUntil(window.banner.isVisible, timeout=20000)
    said = window.banner.body.text() + window.banner.details.text()
    assert "line 3" in said
    assert "could not be read like this" in window.pages.capture.sentence.text()
    assert not window.pages.capture.make_button.isEnabled()


def csv_of_volts(path, *, name="time_s"):
    rows = [f"{name},contact,rx"]
    for step in range(60_000):
        t = step * 0.0005
        high = 3.3 if (t % 0.02) < (0.0019 if int(t) % 2 else 0.0011) else 0.1
        rows.append(f"{t:.4f},{int(t) % 2},{high}")
    path.write_text("\n".join(rows) + "\n")


def test_a_lead_in_volts_becomes_an_output_once_its_threshold_is_typed(open_window, qtbot, tmp_path):
    path = tmp_path / "volts.csv"
    csv_of_volts(path)
    page = opened(open_window(), qtbot, path)
    assert row(page, "rx").lead.volts
    assert not page.make_button.isEnabled()
    row(page, "rx").threshold.setText("1.5")
    row(page, "rx").threshold.editingFinished.emit()
    qtbot.waitUntil(lambda: bool(page.rows) and not row(page, "rx").lead.volts, timeout=20000)
    assert row(page, "rx").chosen_role() == "output"
    assert row(page, "rx").threshold.text() == "1.5"
    assert page.make_button.isEnabled()


def test_the_time_column_can_be_named_with_its_unit(open_window, qtbot, tmp_path):
    path = tmp_path / "named.csv"
    csv_of_volts(path, name="zeit")
    window = open_window()
    window.open_path(path)
    qtbot.waitUntil(window.banner.isVisible, timeout=20000)
    page = window.pages.capture
    assert page.columns.isVisible()
    page.time_column.setText("zeit")
    page.ask()
    qtbot.waitUntil(lambda: bool(page.rows), timeout=20000)
    assert {found.lead.name for found in page.rows} == {"contact", "rx"}


def test_back_leads_to_start_and_leaves_nothing(open_window, qtbot, captures):
    window = open_window()
    page = opened(window, qtbot, captures["vcd"])
    page.back_button.click()
    assert window.step is Step.START
    assert window.start.isVisible()
    assert window.session.now is None
