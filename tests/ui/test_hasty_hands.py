"""What a hasty hand presses: the second half of a double click, a space too many, Enter on what is confirmed."""

import pytest
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtWidgets import QApplication

from benchapp.acquisition.wishes import Drop, Pause, StartRun, StopRun
from benchapp.procedures.ground.progress import Prompt, StopReason
from benchapp.records.run import Origin
from benchapp.ui.kept.steps import Step
from benchapp.ui.screens.tests_page.calm import CALM_S
from tests.ui.fake_bench import FakeRecording


@pytest.fixture
def choosing(practising, settle):
    """Return a window at the choice of tests, safe to start, and its recording."""

    def choosing(recording=None):
        window, recording = practising(recording)
        for refusal in window.workbench.status.refusals:
            window.workbench.confirm(refusal.line.value, yes=True)
        window.go(Step.TESTS)
        settle(window)
        return window, recording

    return choosing


def ends(window, recording, settle, **changes):
    told = {"prompt": Prompt.DONE, "outcome": "complete", "stop_reason": StopReason.ENOUGH_FLIPS.value, "flips": 60}
    recording.tell(session="")  # there is no file whose findings could be shown
    recording.run(**(told | changes))
    settle(window)


def asked(recording, *kinds):
    return [wish for wish in recording.wishes if isinstance(wish, kinds)]


def press_in_the_middle(qtbot, window, widget):
    """Click where a widget stands, on whatever lies there: what is off lets nothing through."""
    at = widget.mapTo(window, widget.rect().center())
    qtbot.mouseClick(window.childAt(at), Qt.MouseButton.LeftButton)


def test_a_double_click_on_start_begins_one_run_and_ends_none(choosing, settle, qtbot, moment_passes):
    window, recording = choosing()
    start = window.pages.tests.choice.start_button
    start.click()
    start.click()  # before the run is seen to have begun
    settle(window)
    assert len(asked(recording, StartRun)) == 1
    run = window.pages.tests.run
    assert run.isVisible()
    for made in (run.stop, run.buttons.pause, run.switch_on):
        press_in_the_middle(qtbot, window, made)
    assert asked(recording, StopRun, Pause) == []
    moment_passes(window)
    press_in_the_middle(qtbot, window, run.stop)
    press_in_the_middle(qtbot, window, run.buttons.stop_now)
    assert len(asked(recording, StopRun)) == 1


def at_window(window, widget):
    return QRect(widget.mapTo(window, QPoint(0, 0)), widget.size())


def test_stop_stands_where_neither_start_nor_anything_of_the_end_stood(choosing, settle, moment_passes):
    window, recording = choosing()
    start = at_window(window, window.pages.tests.choice.start_button)
    window.pages.tests.choice.start_button.click()
    settle(window)
    moment_passes(window)
    run = window.pages.tests.run
    stop = at_window(window, run.stop)
    assert not stop.intersects(start)
    recording.run(prompt=Prompt.CARRY_ON, paused="by-hand")
    settle(window)
    assert at_window(window, run.stop) == stop
    assert not at_window(window, run.carry_on).intersects(stop)
    ends(window, recording, settle)
    for made in (run.findings_button, run.again_button):
        assert not at_window(window, made).intersects(stop)


def stops(run, qtbot, way):
    """Ask to stop: by the button, or by the key."""
    if way == "key":
        qtbot.keyClick(run, Qt.Key.Key_Escape)
    else:
        (run.stop if run.stop.isVisible() else run.buttons.stop_now).click()


@pytest.mark.parametrize("way", ["button", "key"])
def test_stop_asks_while_less_than_half_is_done_and_not_after(choosing, settle, qtbot, moment_passes, way):
    window, recording = choosing()
    window.pages.tests.choice.start_button.click()
    settle(window)
    moment_passes(window)
    run = window.pages.tests.run
    recording.run(flips=29, answered=29, wanted=60)
    settle(window)
    stops(run, qtbot, way)
    assert asked(recording, StopRun) == []
    assert run.buttons.asked.text() == "Less than half is done."
    run.buttons.go_on.click()
    assert not run.buttons.asking
    assert run.stop.isVisible()
    stops(run, qtbot, way)
    stops(run, qtbot, way)
    assert len(asked(recording, StopRun)) == 1
    ends(window, recording, settle, outcome="cut-short", stop_reason=StopReason.BY_HAND.value)
    assert not run.buttons.stop_now.isVisible()


@pytest.mark.parametrize("way", ["button", "key"])
def test_from_half_on_stop_stops_at_once(choosing, settle, qtbot, moment_passes, way):
    window, recording = choosing()
    window.pages.tests.choice.start_button.click()
    settle(window)
    moment_passes(window)
    recording.run(flips=30, answered=30, wanted=60)
    settle(window)
    stops(window.pages.tests.run, qtbot, way)
    assert len(asked(recording, StopRun)) == 1


def test_a_double_click_on_stop_asks_and_does_no_more(choosing, settle, qtbot, moment_passes):
    window, recording = choosing()
    window.pages.tests.choice.start_button.click()
    settle(window)
    moment_passes(window)
    run = window.pages.tests.run
    at = run.stop.mapTo(window, run.stop.rect().center())
    for _ in range(2):
        qtbot.mouseClick(window.childAt(at), Qt.MouseButton.LeftButton)
        settle(window)
    assert run.buttons.asking
    assert asked(recording, StopRun) == []


@pytest.mark.parametrize("origin", [Origin.PRACTICE, Origin.PROBE])
def test_keys_and_clicks_right_after_the_last_flip_press_nothing(choosing, settle, qtbot, moment_passes, origin):
    window, recording = choosing(FakeRecording(origin))
    window.pages.tests.choice.start_button.click()
    settle(window)
    moment_passes(window)
    run = window.pages.tests.run
    ends(window, recording, settle)
    before = len(recording.wishes)
    for key in (Qt.Key.Key_Space, Qt.Key.Key_Return, Qt.Key.Key_Backspace):
        qtbot.keyClick(QApplication.focusWidget(), key)
        qtbot.keyClick(window, key)
    for made in (run.findings_button, run.again_button, run.put_back_button):
        if made.isVisible():
            press_in_the_middle(qtbot, window, made)
    moment_passes(window, CALM_S - 0.1)
    qtbot.keyClick(window, Qt.Key.Key_Return)
    window.repeat_test()
    settle(window)
    assert window.step is Step.TESTS
    assert window.pages.tests.currentWidget() is run
    assert recording.wishes[before:] == []
    moment_passes(window, 0.2)
    assert run.findings_button.hasFocus()
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Space)
    assert window.step is Step.FINDINGS


def test_backspace_drops_the_last_flip_again_once_the_moment_is_over(choosing, settle, qtbot, moment_passes):
    window, recording = choosing()
    window.pages.tests.choice.start_button.click()
    settle(window)
    ends(window, recording, settle)
    qtbot.keyClick(window.pages.tests.run, Qt.Key.Key_Backspace)
    assert asked(recording, Drop) == []
    moment_passes(window)
    qtbot.keyClick(window.pages.tests.run, Qt.Key.Key_Backspace)
    assert len(asked(recording, Drop)) == 1


@pytest.mark.parametrize("page", [Step.SAFE, Step.PUT_BACK])
def test_enter_confirms_a_line_and_never_takes_it_back(practising, settle, qtbot, page):
    window, recording = practising(FakeRecording(Origin.PROBE))
    recording.tell(session="/x/a.t2h")
    window.go(page)
    settle(window)
    shown = window.pages.safe if page is Step.SAFE else window.pages.put_back
    line = next(iter(shown.lines.values())).button
    line.setFocus()
    for _ in range(2):
        qtbot.keyClick(line, Qt.Key.Key_Return)
        settle(window)
        assert line.isChecked()
    qtbot.keyClick(line, Qt.Key.Key_Space)
    settle(window)
    assert not line.isChecked()


def test_a_run_that_did_not_end_as_asked_is_not_called_done(choosing, settle):
    window, recording = choosing()
    window.pages.tests.choice.start_button.click()
    settle(window)
    run = window.pages.tests.run
    for reason, words in (
        (StopReason.BY_HAND, "Stopped early"),
        (StopReason.PROBE_LOST, "The probe was lost"),
        (StopReason.PAUSED_TOO_LONG, "Stopped early"),
    ):
        ends(window, recording, settle, outcome="cut-short", stop_reason=reason.value)
        assert run.prompt.text() == words
    ends(window, recording, settle)
    assert run.prompt.text() == "Done"


def test_a_run_that_is_over_before_it_was_seen_to_go_on_is_shown_all_the_same(choosing, settle):
    window, recording = choosing()
    tests = window.pages.tests
    recording.tell(session="/x/a.t2h")  # a run that follows another begins at once
    settle(window)
    tests.choice.start_button.click()
    ends(window, recording, settle)
    assert tests.currentWidget() is tests.run
    assert tests.run.prompt.text() == "Done"
    tests.show_choice()
    settle(window)
    assert tests.currentWidget() is tests.choice  # what has been seen does not come back by itself
