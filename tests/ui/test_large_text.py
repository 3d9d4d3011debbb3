"""Letters twice as large: every page and state still fits a window of 1280 by 720, and nothing is cut off."""

import pytest
from PySide6.QtWidgets import QApplication

from benchapp.ui.look.theme import apply_theme
from benchapp.ui.look.tokens import LIGHT
from tests.ui.fake_bench import FakeRecording
from tests.ui.fake_stick import STICK_LEADS
from tests.ui.fitting import outside, overlapping, too_small
from tests.ui.visits import ORIGINS, banners, busy, files, pages, stick_states

WIDTH, HEIGHT = 1280, 720


@pytest.fixture
def large(theme):
    """Give the program letters twice as large."""
    apply_theme(QApplication.instance(), theme, LIGHT, text_percent=200)


def too_wide_or_high(window, page):
    """Return in words what the least size of the window with this page is, where that is too much."""
    rail, strip = window.rail.minimumSizeHint(), window.strip
    width = page.minimumSizeHint().width() + rail.width()
    height = max(page.minimumSizeHint().height(), rail.height()) + strip.height()
    if window.banner.isVisible():
        height += window.banner.height()
    return [] if width <= WIDTH and height <= HEIGHT else [f"at least {width} x {height}"]


def enlarge(window):
    """Wish letters twice as large in the settings."""
    window.pages.settings.text_sizes[-1].click()
    assert window.settings.text_percent == 200


def wrong(window, page, name):
    faults = [*too_wide_or_high(window, page), *too_small(window), *outside(window), *overlapping(window)]
    return [f"{name}: {fault}" for fault in faults]


@pytest.mark.parametrize("origin", ORIGINS, ids=lambda origin: origin.value)
def test_every_page_and_state_fits_with_letters_twice_as_large(large, practising, settle, origin):
    window, recording = practising(busy(origin))
    found = []
    for name, page in pages(window, recording, settle):
        found += wrong(window, page, name)
    assert not found, "\n".join(found)


@pytest.mark.parametrize("origin", ORIGINS, ids=lambda origin: origin.value)
def test_the_stick_s_tests_fit_with_letters_twice_as_large(large, practising, settle, origin):
    window, recording = practising(FakeRecording(origin, STICK_LEADS))
    found = []
    for name, page in stick_states(window, recording, settle):
        found += wrong(window, page, name)
    assert not found, "\n".join(found)


def test_messages_and_the_strip_fit_with_letters_twice_as_large(large, practising, settle):
    window, recording = practising(busy(ORIGINS[0]))
    found = []
    for name in banners(window, recording, settle):
        found += wrong(window, window.start, name)
    assert not found, "\n".join(found)


def test_captures_and_findings_fit_with_letters_twice_as_large(large, open_window, settle, qtbot, tmp_path):
    window = open_window()
    found = []
    for name, page in files(window, settle, qtbot, tmp_path):
        found += wrong(window, page, name)
    assert not found, "\n".join(found)


@pytest.mark.parametrize("origin", ORIGINS, ids=lambda origin: origin.value)
def test_every_page_and_state_fits_where_the_letters_grow_while_the_window_is_open(practising, settle, origin):
    window, recording = practising(busy(origin))
    assert len(list(pages(window, recording, settle))) > 20
    enlarge(window)
    found = []
    for name, page in pages(window, recording, settle):
        found += wrong(window, page, name)
    assert not found, "\n".join(found)


def test_the_stick_s_tests_fit_where_the_letters_grow_while_the_window_is_open(practising, settle):
    window, recording = practising(FakeRecording(ORIGINS[0], STICK_LEADS))
    assert list(stick_states(window, recording, settle))
    enlarge(window)
    found = []
    for name, page in stick_states(window, recording, settle):
        found += wrong(window, page, name)
    assert not found, "\n".join(found)


def test_findings_on_screen_fit_where_the_letters_grow(open_window, settle, qtbot, tmp_path):
    window = open_window()
    found = []
    for name, page in files(window, settle, qtbot, tmp_path):
        enlarge(window)
        settle(window)
        found += wrong(window, page, name)
        window.pages.settings.text_sizes[0].click()
        settle(window)
    assert not found, "\n".join(found)


def test_letters_made_larger_and_usual_again_leave_every_page_as_it_was(practising, settle):
    window, _ = practising(busy(ORIGINS[0]))
    for step in window.pages.of_steps():
        window.go(step)
        settle(window, times=12)
    sizes = []
    for click in (0, 3, 0):
        window.pages.settings.text_sizes[click].click()
        settle(window)
        sizes.append([page.minimumSizeHint() for page in window.pages.of_steps().values()])
        assert window.settings.text_percent == (200 if click else 100)
        assert QApplication.font().pointSizeF() == (22 if click else 11)
    assert sizes[0] == sizes[2] != sizes[1]
