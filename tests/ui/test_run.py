"""The run page, moved by hand."""

import pytest
from PySide6.QtCore import Qt

from benchapp.acquisition.status import LinkState
from benchapp.acquisition.wishes import (
    Drive,
    Drop,
    Mark,
    NewSession,
    Note,
    PoweredUp,
    Resume,
    StartRun,
    StopRun,
    SwitchOn,
    Undrop,
)
from benchapp.assets import resource
from benchapp.procedures.gate import Refusal, SafetyLine, Why
from benchapp.procedures.ground.progress import Prompt, StopReason
from benchapp.records.events import SWITCH_ON
from benchapp.records.named_tests import names_of_tests
from benchapp.records.run import Origin, PickUp, RunSettings
from benchapp.ui.kept.steps import Step
from tests.ui.fake_bench import FakeRecording, pulses


@pytest.fixture
def running(practising, settle, moment_passes):
    """Return a window in a run of 60 flips, and its recording."""

    def running(recording=None):
        window, recording = practising(recording)
        window.workbench.confirm("practice", yes=True)
        window.go(Step.TESTS)
        settle(window)
        window.pages.tests.choice.start_button.click()
        settle(window)
        moment_passes(window)
        return window, recording

    return running


def kinds(recording):
    return [type(wish) for wish in recording.wishes]


def test_start_begins_a_session_and_then_the_run(running, tmp_path):
    window, recording = running()
    session = next(wish for wish in recording.wishes if isinstance(wish, NewSession))
    assert session.path.parent == tmp_path / "data" / "benchapp" / "sessions"
    assert session.path.suffix == ".t2h"
    started = next(wish for wish in recording.wishes if isinstance(wish, StartRun))
    assert kinds(recording).index(NewSession) < kinds(recording).index(StartRun)
    assert (started.settings.flips, started.phase_stepped, started.pick_up) == (60, False, PickUp.CONTACT)
    assert window.pages.tests.currentWidget() is window.pages.tests.run


def test_letting_the_bench_flip_asks_for_evenly_stepped_flips(practising, settle):
    window, recording = practising()
    window.workbench.confirm("practice", yes=True)
    window.go(Step.TESTS)
    settle(window)
    window.pages.tests.choice.options["switch-flip"].by_bench.click()
    window.pages.tests.choice.start_button.click()
    settle(window)
    started = recording.wishes[-1]
    assert (started.phase_stepped, started.pick_up) == (True, PickUp.DRIVEN)


def test_start_is_off_with_the_reason_beside_it_until_the_bench_is_safe(practising, settle):
    window, recording = practising()
    window.go(Step.TESTS)
    settle(window)
    choice = window.pages.tests.choice
    assert not choice.start_button.isEnabled()
    assert choice.why_not.isVisible()
    assert choice.why_not.text().replace("\u00a0", " ") == "1 line of Make it safe still to confirm."
    assert StartRun not in kinds(recording)
    window.workbench.confirm("practice", yes=True)
    settle(window)
    assert choice.start_button.isEnabled()
    assert not choice.why_not.isVisible()


def test_the_prompt_and_the_count_can_be_read_from_two_metres(running):
    window, _ = running()
    run = window.pages.tests.run
    assert run.prompt.font().pointSizeF() >= 40
    assert run.count.font().pointSizeF() >= 24
    assert run.prompt.fontInfo().pointSizeF() >= 39.5


def test_what_is_shown_is_what_the_recording_says(running, settle):
    window, recording = running()
    recording.run(
        prompt=Prompt.FLIP_NOW, flips=23, answered=22, last_ms=24.312, value_ms=24.0612, half_width_ms=0.923,
        flips_left=37, minutes_left=1.2,
    )  # fmt: skip
    settle(window)
    run = window.pages.tests.run
    assert run.prompt.text() == "Flip now"
    assert run.count.text().replace("\u00a0", " ") == "23 of 60 flips"
    assert run.bar.value() / run.bar.maximum() == pytest.approx(23 / 60, abs=0.001)
    shown = [label.text().replace("\u00a0", " ") for label in (run.picture.strip.figure, run.left_line)]
    assert shown == ["So far: 24.06 ms ± 0.92 ms", "about 37 flips, about 1 min"]


def test_a_pause_says_why_and_carry_on_has_the_keyboard(running, settle, qtbot):
    window, recording = running()
    recording.run(prompt=Prompt.CARRY_ON, paused="bad-signal")
    recording.tell(link=LinkState.PAUSED)
    settle(window)
    run = window.pages.tests.run
    assert "The servo pulses stopped." in run.sentence_line.text()
    assert run.carry_on.isVisible()
    assert run.stop.isVisible()
    qtbot.keyClick(window, Qt.Key.Key_Return)
    assert isinstance(recording.wishes[-1], Resume)


def test_backspace_drops_the_last_flip_and_ctrl_z_takes_it_back(running, settle, qtbot):
    window, recording = running()
    recording.run(flips=5, answered=5, dropped=0)
    settle(window)
    qtbot.keyClick(window.pages.tests.run, Qt.Key.Key_Backspace)
    assert recording.wishes[-1] == Drop()
    recording.run(dropped=1)
    settle(window)
    assert "1 flip dropped" in window.pages.tests.run.beside.text().replace("\u00a0", " ")
    qtbot.keyClick(window.pages.tests.run, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert recording.wishes[-1] == Undrop()


def test_escape_stops_and_keeps_and_means_nothing_when_no_run_goes_on(running, settle, qtbot):
    window, recording = running()
    qtbot.keyClick(window.pages.tests.run, Qt.Key.Key_Escape)
    qtbot.keyClick(window.pages.tests.run, Qt.Key.Key_Escape)
    assert isinstance(recording.wishes[-1], StopRun)
    recording.run(outcome="cut-short", stop_reason=StopReason.BY_HAND.value, prompt=Prompt.DONE)
    settle(window)
    assert "Stopped early and kept." in window.pages.tests.run.sentence_line.text()
    count = len(recording.wishes)
    qtbot.keyClick(window.pages.tests.run, Qt.Key.Key_Escape)
    qtbot.keyClick(window.pages.tests.run, Qt.Key.Key_Escape)
    assert len(recording.wishes) == count


def test_single_keys_mean_nothing_in_a_text_field(running, settle, qtbot):
    window, recording = running()
    window.go(Step.BENCH)
    field = window.pages.bench.fields["transmitter"]
    field.setReadOnly(False)
    field.setFocus()
    count = len(recording.wishes)
    qtbot.keyClicks(field, "fnm")
    qtbot.keyClick(field, Qt.Key.Key_Backspace)
    assert field.text() == "fn"
    assert len(recording.wishes) == count
    assert not window.pages.leads.lanes.frozen


def test_the_space_bar_flips_the_practice_switch_once_a_press(running, settle, qtbot):
    window, recording = running()
    assert window.pages.tests.run.switch.isVisible()
    assert window.focusWidget() is window.pages.tests.run.switch
    for _ in range(3):
        qtbot.keyClick(window.pages.tests.run.switch, Qt.Key.Key_Space)
    assert [wish.level for wish in recording.wishes if isinstance(wish, Drive)] == [1, 0, 1]


def test_a_real_bench_shows_no_practice_switch(running, settle, qtbot):
    recording = FakeRecording(Origin.PROBE)
    window, _ = running(recording)
    for line in list(window.pages.safe.lines):
        if line != "practice":
            window.workbench.confirm(line, yes=True)
    settle(window)
    window.pages.tests.choice.start_button.click()
    settle(window)
    assert window.pages.tests.currentWidget() is window.pages.tests.run
    assert not window.pages.tests.run.switch.isVisible()


def test_enter_leads_from_the_end_of_a_run_to_its_findings(running, settle, qtbot, moment_passes):
    window, recording = running()
    recording.run(outcome="complete", prompt=Prompt.DONE, stop_reason=StopReason.ENOUGH_FLIPS.value, flips=60)
    recording.tell(session="")
    settle(window)
    moment_passes(window)
    assert window.pages.tests.run.findings_button.hasFocus()
    qtbot.keyClick(window, Qt.Key.Key_Return)
    assert window.step is Step.FINDINGS


def choosing(practising, settle):
    window, recording = practising()
    window.workbench.confirm("practice", yes=True)
    window.go(Step.TESTS)
    settle(window)
    return window, recording


def waiting_for_switch_on(recording, **facts):
    recording.run(prompt=Prompt.SWITCH_OFF_AND_ON, paused=SWITCH_ON, switch_ons=3, **facts)


def test_the_radio_goes_off_and_on_once_for_each_switch_on_the_run_waits_for(practising, settle):
    window, recording = choosing(practising, settle)
    window.pages.tests.choice.start_button.click()
    settle(window)
    waiting_for_switch_on(recording, flips=20, answered=20)
    settle(window)
    settle(window)
    assert kinds(recording).count(SwitchOn) == 1
    assert "Switch-on 1 of 3" in window.pages.tests.run.beside.text()
    recording.run(prompt=Prompt.FLIP_NOW, paused="", flips=21, answered=21, blocks=2, switch_ons=3)
    settle(window)
    assert kinds(recording).count(SwitchOn) == 1
    waiting_for_switch_on(recording, flips=40, answered=40, blocks=2)
    settle(window)
    assert kinds(recording).count(SwitchOn) == 2


def test_a_switch_on_asked_for_by_hand_switches_the_radio_only_once(practising, settle):
    window, recording = choosing(practising, settle)
    window.pages.tests.choice.start_button.click()
    settle(window)
    recording.run(prompt=Prompt.FLIP_NOW, flips=3, answered=3)
    settle(window)
    window.pages.tests.run.switch_on.click()
    waiting_for_switch_on(recording, flips=3, answered=3)
    settle(window)
    assert kinds(recording).count(SwitchOn) == 1


def test_a_plan_sets_switch_ons_and_flips_and_what_is_typed_counts_just_as_well(practising, settle, qtbot):
    window, recording = choosing(practising, settle)
    choice = window.pages.tests.choice
    assert [made.text() for made in choice.options["switch-flip"].plan_buttons] == ["1 × 60", "5 × 12", "10 × 6"]
    choice.options["switch-flip"].plan_buttons[2].click()
    assert choice.options["switch-flip"].wish().settings == RunSettings(flips=60, switch_ons=10)
    assert choice.options["switch-flip"].plan_buttons[2].isChecked()
    choice.options["switch-flip"].switch_ons.selectAll()
    qtbot.keyClicks(choice.options["switch-flip"].switch_ons, "7")
    assert choice.options["switch-flip"].wish().settings == RunSettings(flips=60, switch_ons=7)
    assert not any(made.isChecked() for made in choice.options["switch-flip"].plan_buttons)
    choice.options["switch-flip"].flips.set_value(6)
    assert not choice.start_button.isEnabled()
    assert "7 flips or more" in choice.why_not.text()
    choice.options["switch-flip"].plan_buttons[0].click()
    assert choice.start_button.isEnabled()
    choice.start_button.click()
    settle(window)
    started = next(wish for wish in recording.wishes if isinstance(wish, StartRun))
    assert started.settings == RunSettings(flips=60, switch_ons=1)


def test_the_proposed_give_or_take_follows_the_frame_and_is_taken_with_one_press(practising, settle):
    window, recording = choosing(practising, settle)
    recording.feed.push(pulses(0, from_ns=0, to_ns=2_000_000_000, period_ns=10_000_000))
    settle(window)
    window.workbench.telling.emit()
    choice = window.pages.tests.choice
    assert "0.50" in choice.options["switch-flip"].proposal.text()
    choice.options["switch-flip"].propose.click()
    assert choice.options["switch-flip"].target_ms() == 0.5


def test_there_is_a_card_for_every_test_that_can_be_run(open_window):
    assert set(open_window().pages.tests.choice.cards) == set(names_of_tests())


def test_on_a_real_bench_put_it_back_is_offered_after_the_run_and_a_switch_on_asks_for_safety_anew(practising, settle):
    recording = FakeRecording(Origin.PROBE)
    window, _ = practising(recording)
    window.go(Step.TESTS)
    window.pages.tests.setCurrentWidget(window.pages.tests.run)
    recording.run(prompt=Prompt.DONE, outcome="complete", flips=60, stop_reason=StopReason.ENOUGH_FLIPS.value)
    settle(window)
    window.workbench.switch_on_again()
    assert PoweredUp in kinds(recording)
    assert window.pages.tests.run.put_back_button.isVisible()
    window.pages.tests.run.put_back_button.click()
    assert window.step is Step.PUT_BACK


def test_single_keys_can_be_turned_off_and_escape_still_stops(running, settle, qtbot):
    window, recording = running()
    recording.run(flips=3, answered=3)
    window.interior.navigator.show_settings()
    window.pages.settings.single_keys.click()
    assert window.settings.single_keys is False
    window.interior.navigator.leave_settings()
    settle(window)
    before = len(recording.wishes)
    for key in (Qt.Key.Key_M, Qt.Key.Key_N, Qt.Key.Key_Backspace):
        qtbot.keyClick(window.pages.tests.run, key)
    assert len(recording.wishes) == before
    assert not window.pages.tests.run.note_line.isVisible()
    qtbot.keyClick(window.pages.tests.run, Qt.Key.Key_Escape)
    qtbot.keyClick(window.pages.tests.run, Qt.Key.Key_Escape)
    assert isinstance(recording.wishes[-1], StopRun)


def test_n_opens_a_line_for_a_note_and_enter_keeps_it(running, settle, qtbot):
    window, recording = running()
    recording.run(flips=3, answered=3, prompt=Prompt.WAIT_FOR_ANSWER)
    settle(window)
    page = window.pages.tests.run
    qtbot.keyClick(page, Qt.Key.Key_N)
    assert page.note_line.isVisible()
    qtbot.keyClicks(page.note_line.field, "mnf gust of wind")
    assert not any(isinstance(wish, Mark) for wish in recording.wishes)
    qtbot.keyClick(page.note_line.field, Qt.Key.Key_Return)
    assert recording.wishes[-1] == Note(text="mnf gust of wind")
    assert not page.note_line.isVisible()
    qtbot.keyClick(page, Qt.Key.Key_M)
    assert recording.wishes[-1] == Mark()


def test_escape_leaves_the_note_and_not_the_run(running, settle, qtbot):
    window, recording = running()
    recording.run(flips=3)
    settle(window)
    page = window.pages.tests.run
    qtbot.keyClick(page, Qt.Key.Key_N)
    qtbot.keyClicks(page.note_line.field, "never mind")
    qtbot.keyClick(page.note_line.field, Qt.Key.Key_Escape)
    assert not page.note_line.isVisible()
    assert not any(isinstance(wish, Note | StopRun) for wish in recording.wishes)
    qtbot.keyClick(page, Qt.Key.Key_Escape)
    qtbot.keyClick(page, Qt.Key.Key_Escape)
    assert isinstance(recording.wishes[-1], StopRun)


def test_flip_now_is_heard_once_and_done_twice(running, settle, qtbot):
    window, recording = running()
    page, heard = window.pages.tests.run, []
    page.noise.beep = lambda: heard.append("beep")
    recording.run(prompt=Prompt.WAIT_FOR_ANSWER)
    settle(window)
    heard.clear()
    recording.run(prompt=Prompt.FLIP_NOW, flips=4)
    settle(window)
    recording.run(prompt=Prompt.FLIP_NOW, flips=4, answered=4)
    settle(window)
    assert len(heard) == 1
    recording.run(prompt=Prompt.DONE, outcome="complete", stop_reason=StopReason.ENOUGH_FLIPS)
    settle(window)
    qtbot.waitUntil(lambda: len(heard) == 3, timeout=2000)


def test_without_sounds_nothing_is_heard_and_the_choice_is_remembered(practising, settle):
    window, recording = practising()
    window.workbench.confirm("practice", yes=True)
    window.go(Step.TESTS)
    settle(window)
    window.pages.tests.choice.sounds.setChecked(False)
    window.pages.tests.choice.start_button.click()
    settle(window)
    heard = []
    window.pages.tests.run.noise.beep = lambda: heard.append("beep")
    for prompt in (Prompt.WAIT_FOR_ANSWER, Prompt.FLIP_NOW):
        recording.run(prompt=prompt)
        settle(window)
    assert heard == []
    assert window.settings.sounds is False


def test_ctrl_r_runs_the_last_test_once_more(running, settle, qtbot, moment_passes):
    window, recording = running()
    recording.run(prompt=Prompt.DONE, outcome="complete", stop_reason=StopReason.ENOUGH_FLIPS, flips=60)
    settle(window)
    moment_passes(window)
    before = len([wish for wish in recording.wishes if isinstance(wish, StartRun)])
    window.go(Step.FINDINGS)
    qtbot.keyClick(window, Qt.Key.Key_R, Qt.KeyboardModifier.ControlModifier)
    settle(window)
    assert len([wish for wish in recording.wishes if isinstance(wish, StartRun)]) == before + 1


def test_ctrl_r_starts_nothing_while_a_run_goes_on(running, settle, qtbot):
    window, recording = running()
    recording.run(flips=5)
    settle(window)
    before = len(recording.wishes)
    qtbot.keyClick(window, Qt.Key.Key_R, Qt.KeyboardModifier.ControlModifier)
    assert len(recording.wishes) == before


@pytest.mark.parametrize(("typed", "target_ms"), [("", None), ("0.5", 0.5), ("0,5", 0.5), ("x", None)])
def test_a_give_or_take_to_stop_at_goes_into_the_run(practising, settle, typed, target_ms):
    window, recording = practising()
    window.workbench.confirm("practice", yes=True)
    window.go(Step.TESTS)
    settle(window)
    window.pages.tests.choice.options["switch-flip"].target.setText(typed)
    window.pages.tests.choice.start_button.click()
    settle(window)
    started = next(wish for wish in recording.wishes if isinstance(wish, StartRun))
    assert started.settings.target_ms == target_ms


def test_a_known_delay_is_taken_off_every_flip_and_nothing_typed_changes_nothing(practising, settle, qtbot):
    window, recording = choosing(practising, settle)
    choice = window.pages.tests.choice
    fields = choice.options["switch-flip"].correction
    choice.show_more("switch-flip")
    assert not fields.take_off.isVisible()
    fields.further.click()
    assert fields.take_off.isVisible()
    assert choice.options["switch-flip"].wish().settings == RunSettings(flips=60, switch_ons=1)
    assert not fields.done.isVisible()
    qtbot.keyClicks(fields.take_off, "3,25")
    assert not choice.start_button.isEnabled()
    assert "type both" in choice.why_not.text()
    qtbot.keyClicks(fields.within, "0.5")
    fields.further.click()
    assert not fields.take_off.isVisible()
    assert fields.done.isVisible()  # nothing is taken off unseen
    assert "taken off every flip's delay" in fields.done.text()
    choice.start_button.click()
    settle(window)
    started = next(wish for wish in recording.wishes if isinstance(wish, StartRun))
    assert (started.settings.correction_ms, started.settings.correction_within_ms) == (-3.25, 0.5)


def test_another_bench_begins_with_nothing_taken_off(practising, settle, qtbot):
    window, _ = choosing(practising, settle)
    fields = window.pages.tests.choice.options["switch-flip"].correction
    fields.take_off.setText("3")
    fields.within.setText("0.5")
    window.workbench.opened.emit()
    assert (fields.take_off.text(), fields.within.text(), fields.done.text()) == ("", "", "")
    assert window.pages.tests.choice.options["switch-flip"].wish().settings.correction_ms is None


def test_carry_on_after_a_switch_on_asks_for_safety_again_as_help_says(practising, settle, qtbot, moment_passes):
    recording = FakeRecording(Origin.PROBE)
    window, _ = practising(recording)
    for refusal in recording.status().refusals:
        window.workbench.confirm(refusal.line.value, yes=True)
    window.go(Step.TESTS)
    settle(window)
    window.pages.tests.choice.start_button.click()
    settle(window)
    moment_passes(window)
    lines = [SafetyLine.POWER_ORDER, SafetyLine.LITHIUM]
    refused = tuple(Refusal(line=line, why=Why.POWERED_UP) for line in lines)
    recording.tell(refusals=refused)
    recording.run(prompt=Prompt.SWITCH_OFF_AND_ON, paused="switch-on", flips=20)
    settle(window)
    run = window.pages.tests.run
    assert not run.carry_on.isVisible()
    assert run.buttons.safe.hasFocus()
    assert "confirm Make it safe again: 2 lines left" in run.sentence_line.text().replace("\u00a0", " ")
    help_page = resource("help/switch-flip.html").read_text()
    assert 'The lines of <a href="safe.html">Make it safe</a> are asked again.' in help_page
    qtbot.keyClick(window, Qt.Key.Key_Return)
    assert window.step is Step.SAFE
    recording.tell(refusals=())
    window.go(Step.TESTS)
    settle(window)
    assert not run.buttons.safe.isVisible()
    assert run.carry_on.hasFocus()
    qtbot.keyClick(window, Qt.Key.Key_Return)
    assert isinstance(recording.wishes[-1], Resume)


def test_a_pause_asks_for_no_line_that_is_merely_old(running, settle):
    window, recording = running()
    recording.tell(refusals=(Refusal(line=SafetyLine.PRACTICE, why=Why.STALE),))
    recording.run(prompt=Prompt.CARRY_ON, paused="by-hand")
    settle(window)
    assert window.pages.tests.run.carry_on.isVisible()
