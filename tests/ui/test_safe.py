"""Make it safe."""

from dataclasses import replace

import pytest
from PySide6.QtCore import QEvent, QPoint, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication

from benchapp.acquisition.wishes import ChooseTest, Confirm, PoweredUp, SayOnBench
from benchapp.presentation.ground.safety import SAFETY
from benchapp.procedures.gate import GRAVE_LINES, OnBench, SafetyLine, Why, advice_lines, needed_lines
from benchapp.records.run import Origin
from benchapp.ui.kept.steps import Step
from tests.ui.fake_bench import FakeRecording


@pytest.fixture
def safe(practising, settle):
    """Return the page on a real bench, what is on it said or not, with its window and its recording."""

    def safe(on_bench=None):
        window, recording = practising(FakeRecording(Origin.PROBE, on_bench=None))
        window.go(Step.SAFE)
        settle(window)
        if on_bench is not None:
            window.pages.safe.question.buttons[on_bench].click()
            settle(window)
        return window.pages.safe, window, recording

    return safe


def places(page):
    """Return where every line stands on the screen."""
    return {key: line.mapToGlobal(QPoint(0, 0)) for key, line in page.lines.items()}


# The question ------------------------------------------------------------------------------------------------------


def test_on_the_practice_bench_the_one_line_says_that_nothing_can_move_and_nothing_else_is_asked(practising, settle):
    window, _ = practising()
    window.go(Step.SAFE)
    settle(window)
    assert list(window.pages.safe.lines) == ["practice"]
    assert "nothing here can move" in window.pages.safe.lines["practice"].text.text()
    assert not window.pages.safe.question.isVisible()


def test_a_real_bench_begins_with_the_one_question_and_no_line(safe):
    page, _window, _recording = safe()
    assert page.question.isVisible()
    assert [made.text() for made in page.question.buttons.values()] == [
        "Receiver and servos only",
        "Model without propeller or rotor",
        "Model whose motor can turn",
        "Combustion engine",
    ]
    assert not any(made.isChecked() for made in page.question.buttons.values())
    assert page.lines == {}
    assert not page.next_button.isEnabled()
    assert "what is on the bench" in page.left.text()


def test_enter_in_passing_names_no_bench(safe, settle, qtbot):
    page, window, recording = safe()
    before = list(recording.wishes)
    qtbot.keyClick(window, Qt.Key.Key_Return)
    settle(window)
    assert recording.wishes == before
    assert page.lines == {}


@pytest.mark.parametrize("on_bench", list(OnBench))
def test_each_answer_shows_its_lines_in_their_order_and_the_rest_as_advice_without_a_button(safe, on_bench):
    page, _window, recording = safe(on_bench)
    assert recording.wishes[-1] == SayOnBench(on_bench=on_bench.value)
    assert list(page.lines) == [line.value for line in needed_lines(Origin.PROBE, on_bench)]
    tops = [line.mapTo(page, QPoint(0, 0)).y() for line in page.lines.values()]
    assert tops == sorted(tops)
    advice = advice_lines(Origin.PROBE, on_bench)
    told = [text.text() for text in page.advice.texts] if page.advice else []
    assert told == [SAFETY[line].text for line in advice]
    for key, line in page.lines.items():
        words = SAFETY[SafetyLine(key)]
        assert (line.text.text(), line.note.text() if line.note else "") == (words.act, words.note)


def test_a_bench_of_receiver_and_servos_takes_at_most_five_presses_to_go_on(safe, settle, qtbot):
    page, window, _recording = safe(OnBench.SERVOS)
    presses = 0
    while not page.next_button.isEnabled():
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
        settle(window)
        presses += 1
    assert presses <= 5
    assert page.next_button.hasFocus()


def test_what_can_maim_stands_first_and_is_larger_than_the_rest(safe):
    page, _window, _recording = safe(OnBench.COMBUSTION)
    sizes = [line.text.font().pointSizeF() for line in page.lines.values()]
    grave = len(GRAVE_LINES)
    assert list(page.lines)[:grave] == [line.value for line in GRAVE_LINES]
    assert min(sizes[:grave]) > max(sizes[grave:])


def test_the_question_stays_where_it_is_whatever_is_answered(safe, settle):
    page, window, _recording = safe()
    before = {answer: made.mapToGlobal(QPoint(0, 0)) for answer, made in page.question.buttons.items()}
    for made in page.question.buttons.values():
        made.click()
        settle(window)
        after = {answer: made.mapToGlobal(QPoint(0, 0)) for answer, made in page.question.buttons.items()}
        assert after == before


def test_another_answer_begins_with_nothing_confirmed(safe, settle):
    page, window, recording = safe(OnBench.MOTOR)
    page.lines["lithium"].button.click()
    settle(window)
    page.question.buttons[OnBench.SERVOS].click()
    settle(window)
    assert not any(line.button.isChecked() for line in page.lines.values())
    assert page.question.buttons[OnBench.SERVOS].isChecked()
    assert not page.question.buttons[OnBench.MOTOR].isChecked()
    before = len(recording.wishes)
    page.question.buttons[OnBench.SERVOS].click()  # the same again is no other answer
    assert recording.wishes[before:] == []
    assert page.question.buttons[OnBench.SERVOS].isChecked()


# The lines ---------------------------------------------------------------------------------------------------------


def test_every_line_is_confirmed_by_itself(safe, settle):
    page, window, recording = safe(OnBench.MOTOR)
    before = len(recording.wishes)
    page.lines["lithium"].button.click()
    assert recording.wishes[before:] == [Confirm(line="lithium", yes=True)]
    settle(window)
    assert [key for key, line in page.lines.items() if line.button.isChecked()] == ["lithium"]


def test_next_is_off_until_every_line_is_confirmed_and_says_how_many_are_left(safe, settle):
    page, window, _recording = safe(OnBench.NO_PROPELLER)
    while not page.next_button.isEnabled():
        left = [line for line in page.lines.values() if not line.button.isChecked()]
        assert page.left.text().replace("\u00a0", " ").startswith(f"{len(left)} line")
        left[0].button.click()
        settle(window)
    assert page.left.text() == "Every line is confirmed."


def test_no_line_moves_when_one_is_confirmed_taken_back_or_asked_again(safe, settle, qtbot):
    page, window, recording = safe(OnBench.MOTOR)
    before = places(page)
    for key in ("propeller-off", "flying-controls", "lithium"):
        qtbot.mouseClick(page.lines[key].button, Qt.MouseButton.LeftButton)
        settle(window)
        assert places(page) == before
    recording.tell(refusals=tuple(replace(r, why=Why.STALE) for r in recording._refusals()))
    settle(window)
    assert places(page) == before
    page.lines["lithium"].button.click()
    settle(window)
    assert places(page) == before


def test_after_the_last_line_in_view_the_pointer_keeps_what_is_below_it_and_the_keyboard_scrolls_on(
    safe, settle, qtbot
):
    page, window, _recording = safe(OnBench.COMBUSTION)
    scroll = page.scroller.verticalScrollBar()
    assert scroll.maximum() > 0
    height = page.scroller.viewport().height()
    seen = [key for key, line in page.lines.items() if line.mapTo(page.scroller, QPoint(0, line.height())).y() < height]
    last = page.lines[seen[-1]].button
    qtbot.mouseClick(last, Qt.MouseButton.LeftButton)
    settle(window)
    assert scroll.value() == 0
    last.click()  # taken back
    last.setFocus()
    qtbot.keyClick(last, Qt.Key.Key_Return)
    settle(window)
    following = QApplication.focusWidget()
    assert following is page.lines[list(page.lines)[len(seen)]].button
    assert 0 <= following.mapTo(page.scroller, QPoint(0, 0)).y() <= height - following.height()


def test_the_keyboard_goes_on_to_the_next_open_line_and_from_the_last_to_next(safe, settle, qtbot):
    page, window, _recording = safe(OnBench.SERVOS)
    keys = list(page.lines)
    page.lines[keys[1]].button.click()
    settle(window)
    assert page.lines[keys[2]].button.hasFocus()
    page.lines[keys[0]].button.click()  # the one after it is confirmed already
    settle(window)
    assert page.lines[keys[2]].button.hasFocus()
    page.lines[keys[4]].button.click()
    settle(window)
    assert page.lines[keys[2]].button.hasFocus()
    for key in (keys[2], keys[3]):
        page.lines[key].button.click()
        settle(window)
    assert page.next_button.hasFocus()


def test_a_held_enter_confirms_one_line_and_no_more(safe, settle, qtbot, qapp):
    page, window, _recording = safe(OnBench.SERVOS)
    keys = list(page.lines)
    page.lines[keys[0]].button.setFocus()
    qtbot.keyClick(page.lines[keys[0]].button, Qt.Key.Key_Return)
    settle(window)
    for _ in range(4):
        held = QKeyEvent(QEvent.Type.KeyPress, Qt.Key.Key_Return, Qt.KeyboardModifier.NoModifier, "\r", autorep=True)
        qapp.sendEvent(QApplication.focusWidget(), held)
        settle(window)
    assert [key for key, line in page.lines.items() if line.button.isChecked()] == keys[:1]


def test_the_page_opens_at_the_top_each_time(safe, settle):
    page, window, _recording = safe(OnBench.COMBUSTION)
    page.scroller.verticalScrollBar().setValue(page.scroller.verticalScrollBar().maximum())
    window.go(Step.LEADS)
    settle(window)
    window.go(Step.SAFE)
    settle(window)
    assert page.scroller.verticalScrollBar().value() == 0


# Asked again -------------------------------------------------------------------------------------------------------


def test_a_stale_line_is_asked_again_with_the_reason(practising, settle):
    window, recording = practising()
    page = window.pages.safe
    page.lines["practice"].button.click()
    settle(window)
    assert page.lines["practice"].button.isChecked()
    recording.confirmed.clear()
    recording.tell(refusals=tuple(replace(r, why=Why.STALE) for r in recording._refusals()))
    settle(window)
    assert not page.lines["practice"].button.isChecked()
    assert page.left.text().startswith("Asked again: confirmed more than 30 minutes ago.")


def test_another_bench_begins_with_nothing_confirmed(practising, settle, qtbot):
    window, _ = practising()
    window.pages.safe.lines["practice"].button.click()
    settle(window)
    window.workbench.close_bench()
    assert not any(line.button.isChecked() for line in window.pages.safe.lines.values())


def test_a_model_that_got_power_again_asks_every_line_anew(safe, settle):
    page, window, recording = safe(OnBench.MOTOR)
    assert not page.power_button.isEnabled()
    page.lines["lithium"].button.click()
    settle(window)
    assert page.power_button.isEnabled()
    page.power_button.click()
    assert recording.wishes[-1] == PoweredUp()
    recording.confirmed.clear()
    recording.tell(refusals=tuple(replace(r, why=Why.POWERED_UP) for r in recording._refusals()))
    settle(window)
    assert not page.lines["lithium"].button.isChecked()
    assert "powered up" in page.left.text()


def test_choosing_another_test_is_told_to_the_gate(safe, settle):
    _page, window, recording = safe(OnBench.SERVOS)
    before = len(recording.wishes)
    window.pages.tests.choice.choose("hold-still")
    assert recording.wishes[before:] == [ChooseTest(test="hold-still")]


# Words -------------------------------------------------------------------------------------------------------------


def test_the_gravest_lines_come_first(safe):
    page, _window, _recording = safe(OnBench.MOTOR)
    grave = ["WARNING", "CAUTION", "NOTICE"]
    signals = [SAFETY[SafetyLine(key)].signal for key in page.lines]
    ranks = [grave.index(signal.value) for signal in signals if signal is not None]
    assert ranks == sorted(ranks)


def test_binding_again_and_whose_rules_win_are_said_where_something_can_move(safe):
    page, _window, _recording = safe(OnBench.MOTOR)
    assert page.rebind.isVisible()
    assert "Binding again" in page.rebind.text()
    assert "they win" in page.manuals.text()
