"""Choosing and running sweeps and holds, on a bench moved by hand."""

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from benchapp.acquisition.wishes import Drive, Drop, Pause, Resume, StartRun, StopRun, TakeStop, Undrop
from benchapp.procedures.ground.progress import Pace, Prompt, StickProgress
from benchapp.records.run import Origin
from benchapp.ui.kept.steps import Step
from benchapp.ui.look.theme import apply_theme
from benchapp.ui.look.tokens import LIGHT, Space
from tests.ui.fake_bench import LEADS, SHOW_FILE, FakeRecording, pulses
from tests.ui.fake_stick import HAND, PLACE, STICK, STICK_LEADS, with_stick
from tests.ui.test_layout import clipped

SECOND = 1_000_000_000
SWEEP = {"at_v": 1.2, "scale_v": 3.3, "low_v": 0.5, "high_v": 2.8, "cycles": 1, "cycles_wanted": 3}
STOPS = {"stops": 6, "stops_wanted": 61, "next_deg": 6.0, "mark": 7, "marks": 11, "rising": True, "cycles_wanted": 3}
HOLD = {"held_s": 3.0, "hold_s": 20.0, "position": 1}


@pytest.fixture
def choosing(practising, settle):
    """Return a window at the tests of a bench with a stick, confirmed safe, and its recording."""

    def choosing(leads=STICK_LEADS, origin=Origin.PRACTICE):
        window, recording = practising(FakeRecording(origin, leads=leads))
        for _ in range(2):
            for refusal in recording.status().refusals:
                window.workbench.confirm(refusal.line.value, yes=True)
        window.go(Step.TESTS)
        settle(window)
        return window, recording

    return choosing


@pytest.fixture
def running(choosing, settle, moment_passes):
    """Return a window in a run of a test, and its recording."""

    def running(test, prepare=lambda choice: None, **bench):
        window, recording = choosing(**bench)
        window.pages.tests.choice.choose(test)
        prepare(window.pages.tests.choice)
        settle(window)
        window.pages.tests.choice.start_button.click()
        settle(window)
        moment_passes(window)
        return window, recording

    return running


def show(window, recording, settle, prompt, stick, **changes):
    recording.run(test="", prompt=prompt, stick=StickProgress(**stick), **changes)
    settle(window)
    window.workbench.telling.emit()


def started(recording):
    return next(wish for wish in recording.wishes if isinstance(wish, StartRun))


def drives(recording, lead):
    return [wish.level for wish in recording.wishes if isinstance(wish, Drive) and wish.lead == lead.index]


# Choosing ---------------------------------------------------------------------------------------------------------


def test_only_tests_that_can_be_run_have_cards_and_the_usual_choice_needs_only_start(choosing, settle):
    window, _ = choosing()
    choice = window.pages.tests.choice
    assert list(choice.cards) == ["switch-flip", "stick-sweep", "hold-still"]
    for test, card in choice.cards.items():
        card.choose.click()
        settle(window)
        assert choice.test == test
        assert choice.start_button.isEnabled(), test
        assert choice.main_button() is choice.start_button
        assert [name for name, options in choice.options.items() if options.isVisible()] == [test]


def test_a_card_is_chosen_by_a_click_anywhere_on_it(choosing, qtbot):
    window, _ = choosing()
    qtbot.mouseClick(window.pages.tests.choice.cards["hold-still"], Qt.MouseButton.LeftButton)
    assert window.pages.tests.choice.test == "hold-still"


def test_without_a_bench_the_main_button_leads_to_start(open_window, qtbot):
    window = open_window()
    window.go(Step.TESTS)
    choice = window.pages.tests.choice
    assert choice.why_not.text() == "No bench is open. Open the practice bench or connect a probe on Start."
    assert choice.main_button() is choice.open_button
    qtbot.keyClick(window, Qt.Key.Key_Return)
    assert window.step is Step.START


def test_with_a_bench_nothing_leads_back_to_start(choosing):
    window, _ = choosing()
    assert not window.pages.tests.choice.open_button.isVisible()


def test_the_test_that_was_run_last_is_chosen_the_next_time(running, open_window):
    running("hold-still")
    choice = open_window().pages.tests.choice
    assert choice.test == "hold-still"
    assert not choice.options["hold-still"].isHidden()
    assert choice.options["switch-flip"].isHidden()


def test_how_long_and_how_often_a_hold_is_read_as_one_phrase(choosing, settle):
    window, _ = choosing()
    choice = window.pages.tests.choice
    choice.show_more("hold-still")
    settle(window)
    unit, field = choice.options["hold-still"].unit, choice.options["hold-still"].positions
    left = unit.mapTo(window, unit.rect().topLeft()).x()
    right = field.mapTo(window, field.rect().topRight()).x()
    assert 0 < left - right <= 2 * Space.MEDIUM


def test_without_a_lead_on_the_stick_a_moving_sweep_is_refused_with_the_reason_and_stops_are_not(choosing, settle):
    window, _ = choosing(leads=LEADS)
    choice = window.pages.tests.choice
    choice.choose("stick-sweep")
    settle(window)
    assert not choice.start_button.isEnabled()
    assert choice.why_not.text().startswith("No lead is clipped to the stick.")
    assert choice.cards["stick-sweep"].missing.text() == "No lead is clipped to the stick."
    assert choice.cards["hold-still"].missing.isHidden()
    assert choice.main_button() is choice.leads_button
    choice.options["stick-sweep"].by_stops.click()
    assert choice.start_button.isEnabled()
    choice.options["stick-sweep"].moving.click()
    choice.leads_button.click()
    assert window.step is Step.LEADS


@pytest.mark.parametrize("test", ["switch-flip", "stick-sweep", "hold-still"])
def test_a_test_is_started_with_what_is_usual(running, test):
    _, recording = running(test)
    wish = started(recording)
    told = {
        "switch-flip": (60, None, (), None),
        "stick-sweep": (None, 3, (), None),
        "hold-still": (None, None, (), 20.0),
    }
    assert wish.test == test
    assert (wish.settings.flips, wish.settings.cycles, wish.settings.stops_deg, wish.settings.seconds) == told[test]


def test_a_sweep_by_stops_is_told_its_marks_its_cycles_and_how_right_they_are(running):
    def prepare(choice):
        choice.options["stick-sweep"].by_stops.click()
        choice.options["stick-sweep"].preset_buttons[0].click()
        choice.options["stick-sweep"].cycles.set_value(4)
        choice.options["stick-sweep"].within.setText("0,25")
        choice.options["stick-sweep"].by_hand.click()

    _, recording = running("stick-sweep", prepare)
    wish = started(recording)
    assert wish.settings.stops_deg == (-30.0, -15.0, 0.0, 15.0, 30.0)
    assert (wish.settings.cycles, wish.settings.stop_half_width_deg, wish.takes_itself) == (4, 0.25, False)


def test_the_bench_s_own_hand_sets_marks_exactly_and_needs_nobody_to_take_them(running):
    _, recording = running("stick-sweep", lambda choice: choice.options["stick-sweep"].by_stops.click())
    assert (started(recording).settings.stop_half_width_deg, started(recording).takes_itself) == (0.0, True)


def test_marks_of_one_s_own_are_typed_in_percent_and_wrong_ones_keep_start_off(choosing, settle):
    window, recording = choosing()
    choice = window.pages.tests.choice
    choice.choose("stick-sweep")
    choice.options["stick-sweep"].by_stops.click()
    choice.options["stick-sweep"].own_button.click()
    assert not choice.start_button.isEnabled()
    assert "Type the positions" in choice.why_not.text()
    choice.options["stick-sweep"].percent_button.click()
    choice.options["stick-sweep"].typed.setText("0 20 x")
    assert "“x” is not a position" in choice.why_not.text()
    choice.options["stick-sweep"].typed.setText("0 20 50 80 100")
    assert choice.start_button.isEnabled()
    choice.start_button.click()
    settle(window)
    assert started(recording).settings.stops_deg == pytest.approx((-30.0, -18.0, 0.0, 18.0, 30.0))
    assert window.pages.tests.run._chosen.percent


def test_the_protractor_opens_from_the_window_and_can_be_saved(choosing, monkeypatch, tmp_path):
    window, _ = choosing()
    shown = []
    monkeypatch.setattr(SHOW_FILE, shown.append)
    sweep = window.pages.tests.choice.options["stick-sweep"]
    sweep.open_protractor.click()
    assert shown[0].name == "stick-protractor.svg"
    assert shown[0].is_file()
    copy = tmp_path / "copy.svg"
    monkeypatch.setattr(
        "benchapp.ui.screens.tests_page.sweep_options.QFileDialog.getSaveFileName", lambda *_: (str(copy), "svg")
    )
    sweep.save_protractor.click()
    assert copy.read_bytes() == shown[0].read_bytes()


def test_a_folder_that_takes_no_protractor_is_said(choosing, monkeypatch, tmp_path):
    window, _ = choosing()
    missing = tmp_path / "gone" / "copy.svg"
    monkeypatch.setattr(
        "benchapp.ui.screens.tests_page.sweep_options.QFileDialog.getSaveFileName", lambda *_: (str(missing), "svg")
    )
    said = []
    window.workbench.trouble.connect(said.append)
    window.pages.tests.choice.options["stick-sweep"].save_protractor.click()
    assert len(said) == 1


def test_a_hold_is_told_its_seconds_and_positions(running):
    def prepare(choice):
        choice.options["hold-still"].seconds.set_value(5)
        choice.options["hold-still"].positions.set_value(3)

    _, recording = running("hold-still", prepare)
    assert (started(recording).settings.seconds, started(recording).settings.positions) == (5.0, 3)


def test_who_moves_the_stick_is_asked_on_the_practice_bench_only(choosing, settle):
    window, _ = choosing(leads=(*LEADS, STICK), origin=Origin.PROBE)
    window.pages.tests.choice.choose("stick-sweep")
    settle(window)
    assert not window.pages.tests.choice.options["stick-sweep"].who.isVisible()
    assert window.pages.tests.choice.start_button.isEnabled()


def test_the_probe_flips_through_whatever_lead_is_clipped_to_drive(choosing, settle):
    pin = replace(LEADS[2], label="D7")
    window, recording = choosing(leads=(*LEADS[:2], pin), origin=Origin.PROBE)
    choice = window.pages.tests.choice
    choice.show_more("switch-flip")
    settle(window)
    assert choice.options["switch-flip"].who.isVisible()
    assert choice.options["switch-flip"].by_bench.text() == "The probe flips it"
    choice.options["switch-flip"].by_bench.click()
    choice.start_button.click()
    settle(window)
    assert started(recording).phase_stepped


# A moving sweep ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("pace", "words"), [(Pace.GOOD, "Just right"), (Pace.TOO_FAST, "Too fast"), (Pace.TOO_SLOW, "Too slow")]
)
def test_how_the_sweep_goes_is_said_large(running, settle, pace, words):
    window, recording = running("stick-sweep")
    show(window, recording, settle, Prompt.SWEEP, {**SWEEP, "pace": pace})
    run = window.pages.tests.run
    assert run.how.text() == words
    assert run.how.font().pointSizeF() >= 24
    assert run.prompt.font().pointSizeF() >= 40
    assert run.count.text() == "1 of 3 there-and-backs"
    assert run.picture.sweep.isVisible()
    assert not run.lanes.isVisible()


def test_the_trace_keeps_a_fixed_number_of_moments(running, settle):
    window, recording = running("stick-sweep")
    picture = window.pages.tests.run.picture.sweep
    for number in range(1, 1500):
        recording.run(test="", prompt=Prompt.SWEEP, stick=StickProgress(**{**SWEEP, "target": 0.5}))
        recording.tell(now_ns=number * SECOND // 20)
        window.bridge.tick()
    QApplication.processEvents()
    assert picture.moments == picture._moments.shape[0] == 512
    assert np.isfinite(picture._moments).all()


def test_a_moment_told_twice_is_drawn_once(running, settle):
    window, recording = running("stick-sweep")
    recording.tell(now_ns=SECOND)
    show(window, recording, settle, Prompt.SWEEP, SWEEP)
    show(window, recording, settle, Prompt.SWEEP, {**SWEEP, "pace": Pace.GOOD})
    assert window.pages.tests.run.picture.sweep.moments == 1


def test_backspace_says_why_no_stroke_can_be_dropped(running, settle, qtbot):
    window, recording = running("stick-sweep")
    show(window, recording, settle, Prompt.SWEEP, SWEEP)
    qtbot.keyClick(window.pages.tests.run, Qt.Key.Key_Backspace)
    assert "No single stroke can be left out" in window.pages.tests.run.beside.text()
    assert not any(isinstance(wish, Drop) for wish in recording.wishes)
    assert not window.pages.tests.run.buttons.drop.isVisible()


def test_escape_stops_and_keeps_a_sweep_and_a_pause_says_why_until_enter_carries_on(running, settle, qtbot):
    window, recording = running("stick-sweep")
    show(window, recording, settle, Prompt.SWEEP, SWEEP)
    window.pages.tests.run.buttons.pause.click()
    assert isinstance(recording.wishes[-1], Pause)
    show(window, recording, settle, Prompt.CARRY_ON, SWEEP, paused="bad-signal")
    assert "The servo pulses stopped." in window.pages.tests.run.sentence_line.text()
    qtbot.keyClick(window, Qt.Key.Key_Return)
    assert isinstance(recording.wishes[-1], Resume)
    show(window, recording, settle, Prompt.SWEEP, SWEEP, paused="")
    qtbot.keyClick(window.pages.tests.run, Qt.Key.Key_Escape)
    qtbot.keyClick(window.pages.tests.run, Qt.Key.Key_Escape)
    assert any(isinstance(wish, StopRun) for wish in recording.wishes)


def test_the_bench_s_hand_is_told_what_the_run_asks_for(running, settle):
    window, recording = running("stick-sweep")
    for prompt in (Prompt.WAIT_FOR_PULSES, Prompt.REST, Prompt.SWEEP, Prompt.SWEEP):
        show(window, recording, settle, prompt, SWEEP)
    assert drives(recording, PLACE) == [0]
    assert drives(recording, HAND) == [1]
    assert not window.pages.tests.run.stick.isVisible()


def test_a_person_s_stick_is_passed_on_only_where_it_is_new(running, settle, qtbot):
    window, recording = running("stick-sweep", lambda choice: choice.options["stick-sweep"].by_hand.click())
    show(window, recording, settle, Prompt.GO_TO_AN_END, SWEEP)
    run = window.pages.tests.run
    assert run.stick.isVisible()
    assert window.focusWidget() is run.stick
    run.stick.put(17)
    settle(window)
    run.stick.put(60)
    settle(window)
    assert drives(recording, PLACE) == [0, 17, 60]
    assert drives(recording, HAND) == []


def test_a_flip_run_begins_with_the_stick_where_the_switch_stands(running):
    _, recording = running("switch-flip")
    assert drives(recording, PLACE) == [0]


def test_sounds_call_a_person_and_not_the_bench_s_own_hand(running, settle):
    for by_hand, times in ((True, 1), (False, 0)):
        window, recording = running(
            "stick-sweep", (lambda c: c.options["stick-sweep"].by_hand.click()) if by_hand else lambda c: None
        )
        heard = []
        window.pages.tests.run.noise.beep = lambda heard=heard: heard.append("beep")
        show(window, recording, settle, Prompt.REST, SWEEP)
        show(window, recording, settle, Prompt.SWEEP, {**SWEEP, "still": True})
        assert len(heard) == times
        window.close()


# By stops ---------------------------------------------------------------------------------------------------------


def by_stops(choice):
    choice.options["stick-sweep"].by_stops.click()
    choice.options["stick-sweep"].by_hand.click()


def test_the_next_mark_is_named_large_and_enter_or_space_takes_it(running, settle, qtbot):
    window, recording = running("stick-sweep", by_stops)
    show(window, recording, settle, Prompt.SET_STOP, {**STOPS, "still": True})
    run = window.pages.tests.run
    assert run.prompt.text() == "Mark 7: 6°"
    assert run.how.text() == "Stands still"
    assert "There-and-back 1 of 3, going up" in run.beside.text()
    qtbot.keyClick(window, Qt.Key.Key_Return)
    qtbot.keyClick(run.stick, Qt.Key.Key_Space)
    run.buttons.take.click()
    assert [type(wish) for wish in recording.wishes].count(TakeStop) == 3


def test_while_a_stop_settles_enter_and_space_press_nothing(running, settle, qtbot):
    window, recording = running("stick-sweep", by_stops)
    show(window, recording, settle, Prompt.SET_STOP, {**STOPS, "still": True})
    show(window, recording, settle, Prompt.KEEP_STILL, {**STOPS, "still": True})
    count = len(recording.wishes)
    qtbot.keyClick(window.focusWidget(), Qt.Key.Key_Return)
    qtbot.keyClick(window.focusWidget(), Qt.Key.Key_Space)
    assert len(recording.wishes) == count
    assert window.pages.tests.run.how.text() == "Settling"


def test_on_a_real_bench_the_page_itself_has_the_keyboard_so_that_a_hasty_key_stops_nothing(running, settle, qtbot):
    window, recording = running(
        "stick-sweep",
        lambda choice: choice.options["stick-sweep"].by_stops.click(),
        leads=(*LEADS, STICK),
        origin=Origin.PROBE,
    )
    show(window, recording, settle, Prompt.SET_STOP, {**STOPS, "still": True})
    assert window.focusWidget() is window.pages.tests.run
    qtbot.keyClick(window.focusWidget(), Qt.Key.Key_Space)
    assert isinstance(recording.wishes[-1], TakeStop)
    show(window, recording, settle, Prompt.KEEP_STILL, {**STOPS, "still": True})
    assert window.focusWidget() is window.pages.tests.run
    count = len(recording.wishes)
    qtbot.keyClick(window.focusWidget(), Qt.Key.Key_Return)
    assert len(recording.wishes) == count


def test_the_last_stop_can_be_dropped_and_taken_back(running, settle, qtbot):
    window, recording = running("stick-sweep", by_stops)
    show(window, recording, settle, Prompt.SET_STOP, {**STOPS, "can_drop": True, "can_undrop": True}, dropped=1)
    run = window.pages.tests.run
    assert run.buttons.drop.text() == "Drop last stop"
    assert "1 stop dropped by hand" in run.beside.text()
    qtbot.keyClick(run, Qt.Key.Key_Backspace)
    qtbot.keyClick(run, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert [type(wish) for wish in recording.wishes[-2:]] == [Drop, Undrop]


def test_a_stop_gone_past_says_so(running, settle):
    window, recording = running("stick-sweep", by_stops)
    show(window, recording, settle, Prompt.WENT_PAST, {**STOPS, "still": True})
    assert window.pages.tests.run.prompt.text() == "Went past"
    assert window.pages.tests.run.buttons.take.isVisible()


# A hold -----------------------------------------------------------------------------------------------------------


def test_a_hold_shows_the_strip_of_its_pulses(running, settle):
    window, recording = running("hold-still")
    with_stick(recording, to_s=3.0, held=True)
    settle(window)
    show(window, recording, settle, Prompt.TOUCH_NOTHING, HOLD)
    strip = window.pages.tests.run.picture.hold
    assert strip.isVisible()
    settle(window)
    assert strip.pulses > 250
    low, high = strip.limits_us()
    assert low < 1500 < high
    assert high - low <= 12
    assert window.pages.tests.run.prompt.text() == "Hands off"


def test_the_strip_of_a_hold_begins_anew_when_the_hold_does(running, settle):
    window, recording = running("hold-still")
    with_stick(recording, to_s=9.0)  # the stick goes from end to end
    recording.tell(now_ns=9 * SECOND)
    show(window, recording, settle, Prompt.LET_GO, HOLD)
    strip = window.pages.tests.run.picture.hold
    low, high = strip.limits_us()
    assert high - low > 500
    recording.tell(now_ns=9 * SECOND)
    show(window, recording, settle, Prompt.TOUCH_NOTHING, HOLD)
    recording.feed.push(pulses(0, from_ns=9 * SECOND, to_ns=11 * SECOND))
    recording.tell(now_ns=11 * SECOND)
    settle(window)
    assert strip.pulses > 50
    low, high = strip.limits_us()
    assert high - low < 50


def test_a_touch_leaves_the_keyboard_with_the_stick_and_not_with_carry_on(running, settle):
    window, recording = running("hold-still", lambda choice: choice.options["hold-still"].by_hand.click())
    show(window, recording, settle, Prompt.TOUCH_NOTHING, HOLD)
    show(window, recording, settle, Prompt.NEXT_POSITION, HOLD, paused="next-position")
    assert window.focusWidget() is window.pages.tests.run.stick
    assert window.pages.tests.run.carry_on.isVisible()


# Every state, at every size ---------------------------------------------------------------------------------------


FIGURES = {"linearity_pct": 10.42, "linearity_u_pct": 1.1, "low_us": 1108, "high_us": 1886}
TOO_FAST = {**SWEEP, **FIGURES, "pace": Pace.TOO_FAST, "pace_wanted": Pace.SLOWER}
STATES = [
    ("sweep", "stick-sweep", lambda c: c.options["stick-sweep"].by_hand.click(), Prompt.SWEEP, TOO_FAST, ""),
    ("stops", "stick-sweep", by_stops, Prompt.SET_STOP, {**STOPS, "next_deg": -27.5, "can_drop": True}, ""),
    ("past", "stick-sweep", by_stops, Prompt.WENT_PAST, STOPS, ""),
    ("hold", "hold-still", lambda c: None, Prompt.TOUCH_NOTHING, {**HOLD, "positions": 12, "sd_us": 12.3}, ""),
    ("touched", "hold-still", lambda c: None, Prompt.LET_GO, HOLD, "touched"),
]


@pytest.mark.parametrize("state", STATES, ids=lambda state: state[0])
def test_nothing_is_clipped_in_any_state_of_a_stick_test(running, settle, state):
    _, test, prepare, prompt, stick, paused = state
    window, recording = running(test, prepare)
    show(window, recording, settle, prompt, stick, paused=paused)
    settle(window)
    assert clipped(window) == []


@pytest.mark.parametrize("test", ["switch-flip", "stick-sweep", "hold-still"])
def test_no_choice_is_clipped(choosing, settle, test):
    window, _ = choosing()
    window.pages.tests.choice.show_more(test)
    settle(window)
    assert clipped(window) == []
    if test == "stick-sweep":
        window.pages.tests.choice.options["stick-sweep"].by_stops.click()
        window.pages.tests.choice.options["stick-sweep"].own_button.click()
        window.pages.tests.choice.options["stick-sweep"].by_hand.click()
        settle(window)
        assert clipped(window) == []


@pytest.mark.parametrize("state", STATES, ids=lambda state: state[0])
def test_with_letters_twice_as_large_nothing_is_wider_than_the_window(running, settle, theme, state):
    _, test, prepare, prompt, stick, paused = state
    apply_theme(QApplication.instance(), theme, LIGHT, text_percent=200)
    try:
        window, recording = running(test, prepare)
        show(window, recording, settle, prompt, stick, paused=paused)
        settle(window)
        assert window.size().width() == 1280
        assert window.centralWidget().minimumSizeHint().width() <= 1280
        assert [text for text in clipped(window) if "px high" not in text] == []
    finally:
        apply_theme(QApplication.instance(), theme, LIGHT)
