"""Make it safe."""

from dataclasses import replace

from benchapp.acquisition.wishes import Confirm, PoweredUp
from benchapp.presentation.ground.safety import SAFETY
from benchapp.procedures.gate import PROPELLER_LINES, SafetyLine, Why
from benchapp.records.run import Origin
from benchapp.ui.kept.steps import Step
from tests.ui.fake_bench import FakeRecording


def test_on_the_practice_bench_the_one_line_says_that_nothing_can_move(practising):
    window, _ = practising()
    assert list(window.pages.safe.lines) == ["practice"]
    assert "nothing here can move" in window.pages.safe.lines["practice"].text.text()


def test_every_line_is_shown_with_its_signal_word_and_confirmed_by_itself(practising, settle):
    window, recording = practising(FakeRecording(Origin.PROBE))
    window.go(Step.SAFE)
    settle(window)
    assert set(window.pages.safe.lines) == {line.value for line in SafetyLine} - {"practice"}
    for key, line in window.pages.safe.lines.items():
        assert line.text.text() == SAFETY[SafetyLine(key)].text
    before = len(recording.wishes)
    window.pages.safe.lines["lithium"].button.click()
    assert recording.wishes[before:] == [Confirm(line="lithium", yes=True)]
    settle(window)
    assert [key for key, line in window.pages.safe.lines.items() if line.button.isChecked()] == ["lithium"]


def test_a_bench_without_motors_folds_the_propeller_lines_away(practising, settle):
    window, _ = practising(FakeRecording(Origin.PROBE))
    window.pages.safe.lines["receiver-only"].button.click()
    settle(window)
    assert not set(window.pages.safe.lines) & {line.value for line in PROPELLER_LINES}
    window.pages.safe.lines["receiver-only"].button.click()
    settle(window)
    assert set(window.pages.safe.lines) >= {line.value for line in PROPELLER_LINES}


def test_next_is_off_until_every_line_is_confirmed_and_says_how_many_are_left(practising, settle):
    window, _ = practising(FakeRecording(Origin.PROBE))
    window.go(Step.SAFE)
    window.pages.safe.lines["receiver-only"].button.click()
    settle(window)
    while not window.pages.safe.next_button.isEnabled():
        left = [line for line in window.pages.safe.lines.values() if not line.button.isChecked()]
        assert window.pages.safe.left.text().replace("\u00a0", " ").startswith(f"{len(left)} line")
        left[0].button.click()
        settle(window)
    assert window.pages.safe.left.text() == ""


def test_a_stale_line_is_asked_again_with_the_reason(practising, settle):
    window, recording = practising()
    window.pages.safe.lines["practice"].button.click()
    settle(window)
    assert window.pages.safe.lines["practice"].button.isChecked()
    recording.confirmed.clear()
    recording.tell(refusals=tuple(replace(r, why=Why.STALE) for r in recording._refusals()))
    settle(window)
    line = window.pages.safe.lines["practice"]
    assert not line.button.isChecked()
    assert "30 minutes" in line.why.text()


def test_another_bench_begins_with_nothing_confirmed(practising, settle, qtbot):
    window, _ = practising()
    window.pages.safe.lines["practice"].button.click()
    settle(window)
    window.workbench.close_bench()
    assert not any(line.button.isChecked() for line in window.pages.safe.lines.values())


def test_the_gravest_lines_come_first_and_property_last(practising, settle):
    window, _ = practising(FakeRecording(Origin.PROBE))
    settle(window)
    grave = ["WARNING", "CAUTION", "NOTICE"]
    signals = [SAFETY[SafetyLine(key)].signal for key in window.pages.safe.lines]
    ranks = [grave.index(signal.value) for signal in signals if signal is not None]
    assert next(iter(window.pages.safe.lines)) == "receiver-only"
    assert ranks == sorted(ranks)


def test_a_model_that_got_power_again_asks_every_line_anew(practising, settle):
    window, recording = practising(FakeRecording(Origin.PROBE))
    window.go(Step.SAFE)
    assert not window.pages.safe.power_button.isVisible()
    window.pages.safe.lines["lithium"].button.click()
    settle(window)
    assert window.pages.safe.power_button.isVisible()
    window.pages.safe.power_button.click()
    assert recording.wishes[-1] == PoweredUp()
    recording.confirmed.clear()
    recording.tell(refusals=tuple(replace(r, why=Why.POWERED_UP) for r in recording._refusals()))
    settle(window)
    assert not window.pages.safe.lines["lithium"].button.isChecked()
    assert "powered up" in window.pages.safe.lines["lithium"].why.text()


def test_binding_again_and_whose_rules_win_are_said_where_something_can_move(practising, settle):
    window, _ = practising(FakeRecording(Origin.PROBE))
    window.go(Step.SAFE)
    settle(window)
    assert window.pages.safe.rebind.isVisible()
    assert "Binding again" in window.pages.safe.rebind.text()
    assert "they win" in window.pages.safe.manuals.text()
