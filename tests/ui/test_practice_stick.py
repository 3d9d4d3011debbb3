"""The practice bench's stick: dragged, and moved by keys at a told time."""

import pytest
from PySide6.QtCore import QPoint, Qt

from benchapp.acquisition.hand_orders import PLACES, QUICKEST, SLOWEST, STROKE_S
from benchapp.ui.screens.tests_page.practice_stick import PracticeStick


@pytest.fixture
def stick(theme, qtbot):
    made = PracticeStick(theme)
    made.resize(224, 500)
    made.show()
    qtbot.waitUntil(made.isVisible)
    made.setFocus()
    yield made
    made.close()
    made.deleteLater()


def glided(stick, seconds):
    """Let so much time pass, in ticks as the window makes them; return how far the stick went."""
    began = stick.level
    now = 100.0
    stick.tick(now)
    for _ in range(round(seconds / 0.05)):
        now += 0.05
        stick.tick(now)
    return stick.level - began


@pytest.mark.parametrize(
    ("key", "modifier", "speed"),
    [
        (Qt.Key.Key_Up, Qt.KeyboardModifier.NoModifier, 1.0),
        (Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier, SLOWEST),
        (Qt.Key.Key_PageUp, Qt.KeyboardModifier.NoModifier, QUICKEST),
    ],
)
def test_a_held_key_moves_it_at_the_speed_that_a_sweep_asks_for_and_its_release_stops_it(
    stick, qtbot, key, modifier, speed
):
    qtbot.keyPress(stick, key, modifier)
    assert glided(stick, 2.0) == pytest.approx(PLACES * speed * 2.0 / STROKE_S, abs=2)
    qtbot.keyRelease(stick, key, modifier)
    assert glided(stick, 1.0) == 0


def test_it_goes_down_too_and_no_further_than_its_ends(stick, qtbot):
    stick.put(60)
    qtbot.keyPress(stick, Qt.Key.Key_Down)
    glided(stick, 4.0)
    assert stick.level == 0
    stick.put(9999)
    assert stick.level == PLACES


def test_a_window_that_was_busy_does_not_make_it_jump(stick, qtbot):
    qtbot.keyPress(stick, Qt.Key.Key_Up)
    stick.tick(1.0)
    stick.tick(9.0)
    assert stick.level <= PLACES * 0.1 / STROKE_S + 1


def test_losing_the_keyboard_stops_it(stick, qtbot):
    qtbot.keyPress(stick, Qt.Key.Key_Up)
    stick.clearFocus()
    qtbot.waitUntil(lambda: not stick.hasFocus())
    assert glided(stick, 1.0) == 0


def test_with_marks_keys_step_to_them_and_space_takes(stick, qtbot):
    stick.show_marks((-30.0, -15.0, 0.0, 15.0, 30.0))
    taken = []
    stick.taken.connect(lambda: taken.append(stick.level))
    for _ in range(2):
        qtbot.keyClick(stick, Qt.Key.Key_PageUp)
    qtbot.keyClick(stick, Qt.Key.Key_Space)
    qtbot.keyClick(stick, Qt.Key.Key_Up)
    assert (taken, stick.level) == ([120], 122)
    qtbot.keyClick(stick, Qt.Key.Key_PageDown)
    assert stick.level == 120
    qtbot.keyClick(stick, Qt.Key.Key_End)
    qtbot.keyClick(stick, Qt.Key.Key_PageUp)
    assert stick.level == PLACES


def test_it_is_dragged_with_the_mouse(stick, qtbot):
    low, high = (QPoint(112, round(stick._y(level))) for level in (0, PLACES))
    qtbot.mousePress(stick, Qt.MouseButton.LeftButton, pos=low)
    assert stick.level == 0
    qtbot.mouseMove(stick, QPoint(112, (low.y() + high.y()) // 2))
    qtbot.mousePress(stick, Qt.MouseButton.LeftButton, pos=high)
    assert stick.level == PLACES
    assert stick.accessibleDescription() == "100 %"


def test_once_the_run_has_ended_it_stays(stick, qtbot):
    qtbot.mouseClick(stick, Qt.MouseButton.LeftButton, pos=QPoint(112, 100))
    level = stick.level
    assert level > 0
    stick.setEnabled(False)
    assert glided(stick, 1.0) == 0
    assert "ended" in stick._words()[0]
