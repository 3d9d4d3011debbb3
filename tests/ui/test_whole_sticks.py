"""Whole sweeps and holds on the practice bench, through the real threads and the real file, its time running freely."""

import numpy as np
import pytest
from PySide6.QtCore import QPoint, Qt

from benchapp.acquisition.hand_orders import practice_url
from benchapp.records.run import Outcome
from benchapp.ui.kept.steps import Step
from benchapp.ui.window import main_window
from tests.ui.fake_bench import real_desk

CTRL = Qt.KeyboardModifier.ControlModifier
STEPS = (Qt.Key.Key_1, Qt.Key.Key_2, Qt.Key.Key_3, Qt.Key.Key_4, Qt.Key.Key_5, Qt.Key.Key_6)


@pytest.fixture
def quick(monkeypatch):
    """Let the practice bench's time pass as fast as it is read."""
    monkeypatch.setattr(
        main_window, "practice_url", lambda radio: practice_url(radio).replace("pace=real", "pace=flat")
    )


@pytest.fixture
def at_the_tests(open_window, qtbot, quick):
    """Return a window on the practice bench, everything done by keyboard up to the choice of a test."""

    def at_the_tests():
        window = open_window(real_desk())
        qtbot.keyClick(window, Qt.Key.Key_Return)
        qtbot.waitUntil(lambda: window.workbench.status is not None and window.workbench.stick.can_move, timeout=5000)
        for key in STEPS[:3]:
            qtbot.keyClick(window, key, CTRL)
        line = window.pages.safe.lines["practice"].button
        line.setFocus()
        qtbot.keyClick(line, Qt.Key.Key_Space)
        qtbot.waitUntil(window.pages.safe.next_button.isEnabled, timeout=3000)
        qtbot.keyClick(window, STEPS[3], CTRL)
        return window

    return at_the_tests


def press(qtbot, made):
    """Press a button by keyboard."""
    made.setFocus()
    qtbot.keyClick(made, Qt.Key.Key_Space)


def click(qtbot, made):
    """Press a button with the mouse."""
    qtbot.mouseClick(made, Qt.MouseButton.LeftButton)


def begin(window, qtbot, how):
    choice = window.pages.tests.choice
    qtbot.waitUntil(
        lambda: choice.start_button.isEnabled() and window.pages.tests.run.calm.over and not window.workbench.running
    )
    how(qtbot, choice.start_button)
    qtbot.waitUntil(lambda: window.pages.tests.currentWidget() is window.pages.tests.run, timeout=5000)


def findings(window, qtbot):
    """Return the findings of the run, shown by pressing Enter once it is over."""
    qtbot.waitUntil(lambda: window.session.now is not None, timeout=40000)
    qtbot.waitUntil(window.pages.tests.run.findings_button.hasFocus)  # once a hasty key would press nothing
    qtbot.keyClick(window, Qt.Key.Key_Return)
    assert window.step is Step.FINDINGS
    return window.session.now.loaded.findings.runs[-1]


def test_a_whole_sweep_by_keyboard_ends_in_its_findings_and_then_in_put_it_back(at_the_tests, qtbot):
    window = at_the_tests()
    press(qtbot, window.pages.tests.choice.cards["stick-sweep"].choose)
    begin(window, qtbot, press)
    live = window.pages.tests.run
    found = findings(window, qtbot)
    assert (found.test, found.outcome, found.result.cycles) == ("stick-sweep", Outcome.COMPLETE, 3)
    assert found.result.speed_spread > 0.15
    told = window.workbench.status.run.stick
    assert told.linearity_pct == pytest.approx(found.result.lines["independent"].deviation_pct, rel=1e-6)
    assert live.values.figure.value.text().startswith(f"{found.result.lines['independent'].deviation_pct:.1f}")
    qtbot.keyClick(window, STEPS[5], CTRL)
    assert window.step is Step.PUT_BACK


def stick_volts(window):
    """Return the stick's newest samples, a tenth of a second of them."""
    (stick,) = (live for live in window.workbench.live.shown() if live.lead.role == "stick")
    return stick.volts.values[-100:]


def stands_elsewhere(window, left_v):
    """Return whether the stick stands still, and not where it stood: the marks lie half a volt apart."""
    newest = stick_volts(window)
    return abs(newest.mean() - left_v) > 0.2 and np.ptp(newest) < 0.05


def test_a_whole_sweep_by_stops_with_the_mouse_takes_every_mark(at_the_tests, qtbot):
    window = at_the_tests()
    choice = window.pages.tests.choice
    click(qtbot, choice.cards["stick-sweep"].choose)
    for made in (
        choice.options["stick-sweep"].by_stops,
        choice.options["stick-sweep"].preset_buttons[0],
        choice.options["stick-sweep"].by_hand,
    ):
        click(qtbot, made)
    choice.options["stick-sweep"].cycles.set_value(1)
    begin(window, qtbot, click)
    page = window.pages.tests.run
    qtbot.waitUntil(page.stick.isVisible, timeout=5000)
    for number in range(9):
        qtbot.waitUntil(lambda: page.buttons.take.isEnabled() and page.stick._next is not None, timeout=10000)
        mark_y = round(page.stick._y(page.stick._next))
        level, left_v = page.stick.level, stick_volts(window).mean()
        qtbot.mouseClick(page.stick, Qt.MouseButton.LeftButton, pos=QPoint(page.stick.width() // 2, mark_y))
        if page.stick.level != level:  # the stick gets there in its own time
            qtbot.waitUntil(lambda: stands_elsewhere(window, left_v))  # noqa: B023
        click(qtbot, page.buttons.take)
        qtbot.waitUntil(
            lambda: window.workbench.status.run.stick.stops > number or not window.workbench.running,  # noqa: B023
            timeout=10000,
        )
    found = findings(window, qtbot)
    assert found.outcome is Outcome.COMPLETE
    assert (found.result.against, found.result.positions, found.result.cycles) == ("angle", 5, 1)
    assert found.result.lines["independent"].deviation_pct < 2.0


def test_a_hold_at_three_positions_goes_through_by_itself(at_the_tests, qtbot):
    window = at_the_tests()
    choice = window.pages.tests.choice
    press(qtbot, choice.cards["hold-still"].choose)
    choice.options["hold-still"].seconds.set_value(4)
    choice.options["hold-still"].positions.set_value(3)
    begin(window, qtbot, press)
    found = findings(window, qtbot)
    assert (found.test, found.outcome) == ("hold-still", Outcome.COMPLETE)
    assert len(found.result.positions) == 3
    assert found.result.held_s == pytest.approx(12.0, abs=0.5)


def test_escape_keeps_a_sweep_as_stopped_early(at_the_tests, qtbot):
    window = at_the_tests()
    press(qtbot, window.pages.tests.choice.cards["stick-sweep"].choose)
    window.pages.tests.choice.options["stick-sweep"].cycles.set_value(50)
    begin(window, qtbot, press)
    qtbot.waitUntil(lambda: window.workbench.running and window.workbench.status.run.stick.cycles >= 1, timeout=20000)
    qtbot.keyClick(window.pages.tests.run, Qt.Key.Key_Escape)
    qtbot.keyClick(window.pages.tests.run, Qt.Key.Key_Escape)
    found = findings(window, qtbot)
    assert found.outcome is Outcome.CUT_SHORT
    assert found.result.cycles >= 1


def test_after_a_sweep_the_first_flip_still_has_its_whole_step(at_the_tests, qtbot):
    window = at_the_tests()
    choice = window.pages.tests.choice
    press(qtbot, choice.cards["stick-sweep"].choose)
    choice.options["stick-sweep"].by_stops.click()
    choice.options["stick-sweep"].preset_buttons[0].click()
    choice.options["stick-sweep"].cycles.set_value(1)
    begin(window, qtbot, press)
    findings(window, qtbot)
    window.go(Step.TESTS)
    window.pages.tests.show_choice()
    press(qtbot, choice.cards["switch-flip"].choose)
    choice.options["switch-flip"].by_bench.click()
    choice.options["switch-flip"].flips.set_value(3)
    begin(window, qtbot, press)
    qtbot.waitUntil(
        lambda: window.workbench.status.run.run == 2 and bool(window.workbench.status.run.outcome), timeout=20000
    )
    qtbot.waitUntil(lambda: window.workbench.status.run.answered == 3)  # counted a moment after the run's end
