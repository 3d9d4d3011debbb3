"""Whole runs on the practice bench at its real pace, through the real threads and the real file."""

import re
import threading
import time
from pathlib import Path

import pytest
from PySide6.QtCore import Qt

from benchapp.desk.loading import load
from benchapp.records.run import Outcome, PickUp
from benchapp.ui.kept.steps import Step
from tests.ui.fake_bench import real_desk

FLIP_EVERY_S = 0.3


@pytest.fixture
def bench(open_window, qtbot):
    """Return a window on the real practice bench, confirmed safe, at the choice of tests."""

    def bench(flips):
        window = open_window(real_desk())
        qtbot.keyClick(window, Qt.Key.Key_Return)
        qtbot.waitUntil(lambda: window.workbench.status is not None, timeout=5000)
        qtbot.waitUntil(lambda: bool(window.pages.leads.lanes.rows), timeout=5000)
        qtbot.keyClick(window, Qt.Key.Key_3, Qt.KeyboardModifier.ControlModifier)
        assert window.step is Step.SAFE
        line = window.pages.safe.lines["practice"].button
        line.setFocus()
        qtbot.keyClick(line, Qt.Key.Key_Space)
        qtbot.waitUntil(window.pages.safe.next_button.isEnabled, timeout=3000)
        qtbot.keyClick(window, Qt.Key.Key_4, Qt.KeyboardModifier.ControlModifier)
        window.pages.tests.choice.cards["switch-flip"].choose.click()
        window.pages.tests.choice.options["switch-flip"].flips.setFocus()
        window.pages.tests.choice.options["switch-flip"].flips.selectAll()
        qtbot.keyClicks(window.pages.tests.choice.options["switch-flip"].flips, str(flips))
        qtbot.waitUntil(window.pages.tests.choice.start_button.isEnabled, timeout=3000)
        window.pages.tests.choice.start_button.setFocus()
        qtbot.keyClick(window.pages.tests.choice.start_button, Qt.Key.Key_Return)
        qtbot.waitUntil(lambda: window.workbench.running, timeout=5000)
        return window

    return bench


def half_way_ms(dots):
    """Return the latency the chosen dot's sentence states."""
    return float(re.search(r"half-way ([\d.]+)", dots.words.text())[1])


def flip_until(window, qtbot, count):
    """Press the space bar whenever the page says so, until so many flips were seen."""
    switch = window.pages.tests.run.switch
    deadline = time.monotonic() + 30
    qtbot.waitUntil(switch.isVisible, timeout=3000)
    while window.workbench.status.run.flips < count and not window.workbench.status.run.outcome:
        assert time.monotonic() < deadline, window.workbench.status.run
        if window.pages.tests.run.prompt.text() in ("Flip now", "Flip to start"):
            seen = window.workbench.status.run.flips
            qtbot.keyClick(switch, Qt.Key.Key_Space)
            qtbot.waitUntil(lambda: window.workbench.status.run.flips > seen, timeout=5000)  # noqa: B023
        qtbot.wait(int(FLIP_EVERY_S * 1000))


def test_a_whole_run_by_keyboard_ends_in_findings(bench, qtbot, tmp_path):
    window = bench(flips=6)
    flip_until(window, qtbot, 6)
    qtbot.waitUntil(lambda: window.session.now is not None, timeout=10000)
    qtbot.waitUntil(window.pages.tests.run.findings_button.hasFocus, timeout=3000)
    qtbot.keyClick(window, Qt.Key.Key_Return)
    assert window.step is Step.FINDINGS
    found = window.session.now.loaded.findings.runs
    assert [run.outcome for run in found] == [Outcome.COMPLETE]
    assert found[0].result.flips == 6
    shown = window.pages.findings.sheet.dots
    for trial in found[0].result.trials:
        shown.choose(trial.flip)
        assert half_way_ms(shown) == pytest.approx(trial.mid_ms, abs=0.00051)
    folder = tmp_path / "the report"
    window.session.write_report(folder)
    qtbot.waitUntil(window.pages.findings.written.isVisible, timeout=20000)
    assert sorted(path.name for path in folder.iterdir()) == [
        "findings.json",
        "report.html",
        "report.pdf",
        "trials.csv",
    ]


def test_escape_keeps_the_run_as_stopped_early(bench, qtbot):
    window = bench(flips=60)
    flip_until(window, qtbot, 4)
    qtbot.keyClick(window.pages.tests.run, Qt.Key.Key_Escape)
    qtbot.keyClick(window.pages.tests.run, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: window.session.now is not None, timeout=10000)
    run = window.session.now.loaded.findings.runs[0]
    assert run.outcome is Outcome.CUT_SHORT
    assert run.result.flips == 4


def test_the_live_figure_is_the_one_in_the_findings(bench, qtbot):
    window = bench(flips=5)
    flip_until(window, qtbot, 5)
    qtbot.waitUntil(lambda: window.session.now is not None, timeout=10000)
    live = window.workbench.status.run
    headline = window.session.now.loaded.findings.runs[0].result.headline
    assert headline.value_ms == pytest.approx(live.value_ms, abs=1e-6)


def test_closing_the_window_in_a_run_loses_nothing(bench, qtbot):
    window = bench(flips=60)
    flip_until(window, qtbot, 3)
    qtbot.waitUntil(lambda: window.workbench.status.run.answered >= 2, timeout=5000)
    session = window.workbench.status.session
    window.close()
    qtbot.waitUntil(lambda: window.bridge.gone, timeout=30000)
    assert [t.name for t in threading.enumerate() if t.name in {"conductor", "writer"}] == []
    loaded = load(Path(session))
    assert loaded.kept == ""
    run = loaded.findings.runs[0]
    assert run.outcome is Outcome.CUT_SHORT
    assert run.result.flips == 3
    assert not loaded.facts.damage


def test_switching_the_practice_radio_off_and_on_opens_the_next_block(bench, qtbot):
    window = bench(flips=5)
    flip_until(window, qtbot, 2)
    run = window.pages.tests.run
    qtbot.waitUntil(lambda: run.prompt.text() == "Flip now", timeout=5000)
    run.switch_on.click()
    qtbot.waitUntil(run.carry_on.isVisible, timeout=3000)
    assert run.prompt.text() == "Switch off, then on"
    qtbot.waitUntil(lambda: window.workbench.drive_lead("radio power") is not None)
    qtbot.wait(700)
    qtbot.keyClick(window, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: window.workbench.status.run.paused == "", timeout=15000)
    flip_until(window, qtbot, 5)
    qtbot.waitUntil(lambda: window.session.now is not None, timeout=10000)
    latency = window.session.now.loaded.findings.runs[0].result
    assert latency.switch_ons == 2
    assert {trial.block for trial in latency.trials} == {0, 1}


def test_an_odd_flip_before_the_run_does_not_cost_its_first_press(open_window, qtbot):
    window = open_window(real_desk())
    qtbot.keyClick(window, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: bool(window.pages.leads.lanes.rows), timeout=5000)
    window.pages.leads.flip_button.click()
    window.workbench.confirm("practice", yes=True)
    window.go(Step.TESTS)
    qtbot.waitUntil(window.pages.tests.choice.start_button.isEnabled, timeout=3000)
    window.pages.tests.choice.options["switch-flip"].flips.set_value(3)
    window.pages.tests.choice.start_button.click()
    qtbot.waitUntil(lambda: window.workbench.running, timeout=5000)
    run = window.pages.tests.run
    qtbot.waitUntil(lambda: run.prompt.text() in ("Flip to start", "Flip now"), timeout=5000)
    qtbot.wait(500)
    qtbot.keyClick(run.switch, Qt.Key.Key_Space)
    qtbot.waitUntil(lambda: window.workbench.status.run.flips == 1, timeout=3000)


def test_the_bench_flips_by_itself_when_told_to(open_window, qtbot):
    window = open_window(real_desk())
    qtbot.keyClick(window, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: window.workbench.status is not None, timeout=5000)
    window.workbench.confirm("practice", yes=True)
    window.go(Step.TESTS)
    window.pages.tests.choice.options["switch-flip"].by_bench.click()
    window.pages.tests.choice.options["switch-flip"].flips.set_value(3)
    qtbot.waitUntil(window.pages.tests.choice.start_button.isEnabled, timeout=3000)
    window.pages.tests.choice.start_button.click()
    qtbot.waitUntil(lambda: window.session.now is not None, timeout=30000)
    run = window.session.now.loaded.findings.runs[0]
    assert run.outcome is Outcome.COMPLETE
    assert run.result.flips == 3
    assert window.session.now.loaded.facts.pick_up is PickUp.DRIVEN
