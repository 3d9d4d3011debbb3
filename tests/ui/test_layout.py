"""Nothing clipped, nothing nameless, everything within reach of the keyboard, in both themes."""

import re
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel, QLineEdit, QWidget

import benchapp.ui
from benchapp.acquisition.status import LinkState
from benchapp.presentation.ground.messages import message_for
from benchapp.procedures.ground.progress import Prompt
from benchapp.records.errors import DiskTrouble
from benchapp.records.run import Origin
from benchapp.ui.kept.steps import NUMBERED, Step
from benchapp.ui.look.theme import apply_theme
from benchapp.ui.look.tokens import DARK, LIGHT, SIGNALS, contrast_ratio
from benchapp.ui.widgets.buttons import BenchButton
from benchapp.ui.widgets.labels import PlainLabel
from tests.ui.fake_bench import FakeRecording, pulses

UI_FOLDER = Path(benchapp.ui.__file__).parent


def shown(window, kind):
    return [w for w in window.findChildren(kind) if w.isVisible() and w.window() is window]


def clipped(window):
    """Return what does not fit: words wider or higher than their place, or outside the window."""
    found = []
    for widget in [*shown(window, QAbstractButton), *shown(window, QLabel)]:
        needed = widget.sizeHint()
        wraps = isinstance(widget, QLabel) and widget.wordWrap()
        if not wraps and needed.width() > widget.width():
            found.append(f"{widget.text()!r} needs {needed.width()} px, has {widget.width()}")
        if wraps and widget.heightForWidth(widget.width()) > widget.height() + 1:
            found.append(
                f"{widget.text()!r} needs {widget.heightForWidth(widget.width())} px high, has {widget.height()}"
            )
        right = widget.mapTo(window, widget.rect().topRight()).x()
        if right > window.width():
            found.append(f"{widget.text()!r} ends at {right}")
    return found


def longer(text):
    """Return words 30 % longer, as another language's would be; once only."""
    return text if text.endswith("·") else text + text[: -(-len(text) * 3 // 10) - 1] + "·"


def visit(window, recording, settle):
    """Go to every page and state, yielding its name."""
    for step in Step:
        window.go(step)
        settle(window)
        yield step.key
    window.go(Step.TESTS)
    settle(window)
    if window.pages.tests.choice.start_button.isEnabled():
        window.pages.tests.choice.start_button.click()
        settle(window)
        for changes in (
            {"prompt": Prompt.FLIP_TO_START},
            {"prompt": Prompt.FLIP_NOW, "flips": 59, "last_ms": 124.31, "value_ms": 124.06, "half_width_ms": 0.92,
         "stands_for": "this-switch-on", "any_half_width_ms": 13.04,
             "flips_left": 1941, "minutes_left": 65.0, "dropped": 12, "blocks": 5, "wanted": 2000},
            {"prompt": Prompt.CARRY_ON, "paused": "bad-signal", "last_ms": None, "last_code": "next-flip-too-soon"},
            {"prompt": Prompt.SWITCH_OFF_AND_ON, "paused": "switch-on"},
            {"prompt": Prompt.DONE, "paused": "", "outcome": "cut-short", "stop_reason": "paused-too-long"},
        ):  # fmt: skip
            recording.run(**changes)
            settle(window)
            yield f"run {changes['prompt']}"


@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=lambda tokens: tokens.name)
@pytest.mark.parametrize("origin", [Origin.PRACTICE, Origin.PROBE])
def test_nothing_is_clipped_at_1280_by_720(practising, settle, theme, tokens, origin):
    apply_theme(QApplication.instance(), theme, tokens)
    window, recording = practising(FakeRecording(origin))
    recording.feed.push(pulses(0, from_ns=0, to_ns=2_000_000_000))
    recording.tell(missed=1234, saved_ago_s=12.0, recorded_s=4000.0, link=LinkState.RECORDING)
    for line in recording.status().refusals:
        window.workbench.confirm(line.line.value, yes=True)
    assert window.size().width() == 1280
    for name in visit(window, recording, settle):
        assert clipped(window) == [], name


def test_nothing_is_clipped_while_a_trouble_is_shown(practising, settle):
    window, _ = practising()
    window.show_trouble(message_for(DiskTrouble("The disk is full: '/home/someone/a.t2h' could not be written.")))
    for step in Step:
        window.go(step)
        settle(window)
        assert clipped(window) == [], step


def test_words_a_third_longer_still_fit_their_buttons(practising, settle):
    window, recording = practising()
    window.workbench.confirm("practice", yes=True)
    for name in visit(window, recording, settle):
        for made in shown(window, BenchButton):
            made.setText(longer(made.text()))
        settle(window)
        tight = [m.text() for m in shown(window, BenchButton) if m.sizeHint().width() > m.width()]
        assert tight == [], name


@pytest.mark.parametrize("origin", [Origin.PRACTICE, Origin.PROBE])
def test_everything_that_can_be_reached_by_keyboard_has_a_name(practising, settle, origin):
    recording = FakeRecording(origin)
    window, _ = practising(recording)
    window.workbench.confirm("practice", yes=True)
    for name in visit(window, recording, settle):
        for widget in shown(window, QWidget):
            if widget.focusPolicy() & Qt.FocusPolicy.TabFocus and widget.isEnabled():
                inner = isinstance(widget, QLineEdit) and not isinstance(widget.parent(), type(None))
                said = widget.accessibleName() or (inner and widget.parent().accessibleName())
                assert said, f"{widget!r} on {name}"


def test_tab_reaches_every_button_of_a_page(practising, settle, qtbot):
    window, _ = practising()
    window.go(Step.LEADS)
    settle(window)
    buttons = {b for b in shown(window, BenchButton) if b.isEnabled()}
    reached = set()
    for _ in range(2 * len(buttons)):
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
        reached.add(QApplication.focusWidget())
    assert buttons <= reached


def test_ctrl_and_a_number_go_to_the_steps_and_alt_left_goes_back(open_window, qtbot):
    window = open_window()
    for number, step in enumerate(NUMBERED, start=1):
        qtbot.keyClick(window, Qt.Key(ord(str(number))), Qt.KeyboardModifier.ControlModifier)
        assert window.step is step
    qtbot.keyClick(window, Qt.Key.Key_Left, Qt.KeyboardModifier.AltModifier)
    assert window.step is NUMBERED[-2]


def test_the_rail_says_in_words_what_is_done(practising, settle):
    window, _ = practising()
    window.workbench.confirm("practice", yes=True)
    settle(window)
    said = {step: window.rail.buttons[step].accessibleName() for step in NUMBERED}
    assert said[Step.LEADS] == "Leads, here"
    assert said[Step.SAFE] == "Make it safe, done"
    assert said[Step.TESTS] == "Tests, open"


def test_targets_are_at_least_24_pixels_high(practising, settle):
    window, recording = practising()
    window.workbench.confirm("practice", yes=True)
    for name in visit(window, recording, settle):
        low = [b.text() for b in shown(window, QAbstractButton) if b.height() < 24 or b.width() < 24]
        assert low == [], name


def test_text_and_graphics_stand_out_enough_in_both_themes():
    # WCAG 2.2: 4.5 to 1 for text, 3 to 1 for graphics and controls
    for tokens in (LIGHT, DARK):
        for ground in (tokens.paper, tokens.card, tokens.plot):
            assert contrast_ratio(tokens.ink, ground) >= 4.5
            assert contrast_ratio(tokens.soft_ink, ground) >= 4.5
            assert contrast_ratio(tokens.control_edge, ground) >= 3.0
            assert contrast_ratio(tokens.action, ground) >= 4.5
            for role in ("switch", "module", "output", "horn", "stick"):
                assert contrast_ratio(tokens.role(role), ground) >= 3.0
        assert contrast_ratio(tokens.on_action, tokens.action) >= 4.5
        assert contrast_ratio(tokens.on_recording, tokens.recording) >= 4.5
    for ground, ink in SIGNALS.values():
        assert contrast_ratio(ink, ground) >= 4.5


def test_no_label_can_read_markup(open_window):
    window = open_window()
    assert {label.textFormat() for label in window.findChildren(QLabel)} == {Qt.TextFormat.PlainText}
    assert all(isinstance(label, PlainLabel) for label in window.findChildren(QLabel))
    for path in UI_FOLDER.rglob("*.py"):
        made = re.findall(r"(?:= |\(|\[)QLabel\(", path.read_text(encoding="utf-8"))
        assert made == [], path


def test_the_window_can_be_as_small_as_1024_by_640(practising, settle):
    window, recording = practising()
    window.workbench.confirm("practice", yes=True)
    window.resize(1024, 640)
    for name in visit(window, recording, settle):
        settle(window)
        assert (window.width(), window.height()) == (1024, 640), name
        assert window.centralWidget().minimumSizeHint().width() <= 1024, name
        assert [text for text in clipped(window) if "px high" not in text] == [], name
