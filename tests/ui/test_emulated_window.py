"""The window with the probe's program on an emulated board, as with one that is plugged in."""

import numpy as np
import pytest
from PySide6.QtCore import Qt

from benchapp.procedures.gate import OnBench
from benchapp.records.run import Origin, Outcome
from benchapp.ui.kept.steps import Step
from tests.emulator import build
from tests.emulator.bench import ProbeBench
from tests.ui.fake_bench import real_desk

FLIPS = 5


@pytest.fixture(autouse=True)
def _tools():
    build.need_tools()


def test_a_run_on_the_probe_by_keyboard_ends_in_findings(open_window, qtbot):
    with ProbeBench(flips_ms=(500, 200, 4000)) as bench:
        window = open_window(real_desk())
        window.connect_port(bench.port)
        qtbot.waitUntil(lambda: window.workbench.status is not None, timeout=15000)
        qtbot.waitUntil(lambda: bool(window.pages.leads.lanes.rows), timeout=5000)
        qtbot.keyClick(window, Qt.Key.Key_3, Qt.KeyboardModifier.ControlModifier)
        assert window.step is Step.SAFE
        window.pages.safe.question.buttons[OnBench.SERVOS].setFocus()
        qtbot.keyClick(window.pages.safe.question.buttons[OnBench.SERVOS], Qt.Key.Key_Return)
        qtbot.waitUntil(lambda: len(window.pages.safe.lines) == 5, timeout=3000)
        for line in window.pages.safe.lines.values():
            line.button.setFocus()
            qtbot.keyClick(line.button, Qt.Key.Key_Space)
        qtbot.waitUntil(window.pages.safe.next_button.isEnabled, timeout=3000)
        qtbot.keyClick(window, Qt.Key.Key_4, Qt.KeyboardModifier.ControlModifier)
        choice = window.pages.tests.choice
        choice.cards["switch-flip"].choose.click()
        choice.options["switch-flip"].flips.setFocus()
        choice.options["switch-flip"].flips.selectAll()
        qtbot.keyClicks(choice.options["switch-flip"].flips, str(FLIPS))
        qtbot.waitUntil(choice.start_button.isEnabled, timeout=3000)
        choice.start_button.setFocus()
        qtbot.keyClick(choice.start_button, Qt.Key.Key_Return)
        qtbot.waitUntil(lambda: window.session.now is not None, timeout=20000)
        loaded = window.session.now.loaded
    (run,) = loaded.findings.runs
    assert loaded.facts.origin is Origin.PROBE
    assert run.outcome is Outcome.COMPLETE
    latencies = [trial.mid_ms for trial in run.result.trials if trial.mid_ms is not None]
    # From 8 to 19 ms to the first changed pulse, and its 1.1 or 1.9 ms.
    assert np.size(latencies) >= FLIPS - 1
    assert min(latencies) >= 9.1
    assert max(latencies) <= 20.9
