"""What holds on every page and in every state: the keyboard's walk, names, targets, room for longer words, greys."""

import pytest
from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QLabel, QLineEdit, QListWidget, QWidget

from benchapp.acquisition.status import LinkState
from benchapp.ui.widgets.buttons import BenchButton
from benchapp.ui.window.main_window import MainWindow
from tests.ui.fake_bench import FakeRecording
from tests.ui.fake_stick import STICK_LEADS
from tests.ui.fitting import outside, shown
from tests.ui.visits import ORIGINS, banners, busy, files, pages, stick_states

KINDS = (QAbstractButton, QComboBox, QLineEdit, QListWidget)
origins = pytest.mark.parametrize("origin", ORIGINS, ids=lambda origin: origin.value)


def longer(text):
    """Return words 30 % longer, as another language's would be; once only, and no figure."""
    return (
        text
        if text.endswith("·") or not any(sign.isalpha() for sign in text)
        else text + text[: -(-len(text) * 3 // 10) - 1] + "·"
    )


def stops(window):
    """Return what the Tab key is to reach: everything that takes it, a field inside a box not counted twice."""
    found = []
    for widget in shown(window, *KINDS):
        inner = isinstance(widget, QLineEdit) and isinstance(widget.parentWidget(), QComboBox)
        if widget.isEnabled() and not inner and widget.focusPolicy() & Qt.FocusPolicy.TabFocus:
            found.append(widget)
    return found


def reached_by_tab(window, qtbot):
    """Return what the Tab key reaches in one round."""
    at, reached, wanted = QApplication.focusWidget() or window, set(), set(stops(window))
    for _ in range(4 * len(wanted) + 150):  # a page of the help has its links walked as well
        qtbot.keyClick(at, Qt.Key.Key_Tab)
        at = QApplication.focusWidget() or window
        reached.add(at)
        if wanted <= reached:
            break
    return reached


@origins
def test_tab_reaches_everything_on_every_page_and_nothing_that_is_hidden(practising, settle, qtbot, origin):
    window, recording = practising(busy(origin))
    missed = []
    for name, _ in pages(window, recording, settle):
        reached = reached_by_tab(window, qtbot)
        missed += [f"{name}: {widget!r} {widget.accessibleName()}" for widget in stops(window) if widget not in reached]
        missed += [f"{name}: hidden {widget!r}" for widget in reached if not widget.isVisible()]
    assert not missed, "\n".join(missed)


@origins
def test_everything_that_takes_the_keyboard_says_what_it_is(practising, settle, origin):
    window, recording = practising(busy(origin))
    nameless = []
    for name, _ in pages(window, recording, settle):
        for widget in shown(window, QWidget):
            if not widget.isEnabled() or not widget.focusPolicy() & Qt.FocusPolicy.TabFocus:
                continue
            inner = isinstance(widget, QLineEdit) and isinstance(widget.parentWidget(), QComboBox)
            if not (widget.accessibleName() or (inner and widget.parentWidget().accessibleName())):
                nameless.append(f"{name}: {widget!r}")
    assert not nameless, "\n".join(nameless)


@origins
def test_everything_to_press_is_at_least_24_pixels_wide_and_high(practising, settle, origin):
    window, recording = practising(busy(origin))
    small = []
    for name, _ in pages(window, recording, settle):
        for widget in shown(window, *KINDS):
            if widget.height() < 24 or widget.width() < 24:
                small.append(f"{name}: {widget!r} {widget.width()} x {widget.height()}")
    assert not small, "\n".join(small)


def lengthen(window):
    for made in shown(window, BenchButton):
        made.setText(longer(made.text()))
    for label in shown(window, QLabel):
        label.setText(longer(label.text()))


def cut_off(window):
    found = []
    for widget in shown(window, BenchButton, QLabel):
        wraps = isinstance(widget, QLabel) and widget.wordWrap()
        if not wraps and widget.sizeHint().width() > widget.width():
            found.append(f"{widget.text()!r} needs {widget.sizeHint().width()} px, has {widget.width()}")
        if wraps and widget.heightForWidth(widget.width()) > widget.height() + 1:
            found.append(f"{widget.text()!r} is too high by {widget.heightForWidth(widget.width()) - widget.height()}")
    return found + outside(window)


@origins
def test_words_a_third_longer_are_cut_off_nowhere(practising, settle, origin):
    window, recording = practising(busy(origin))
    found = []
    for name, _ in pages(window, recording, settle):
        lengthen(window)
        settle(window, times=12)
        found += [f"{name}: {fault}" for fault in cut_off(window)]
    assert not found, "\n".join(found)


@origins
def test_the_stick_s_tests_hold_words_a_third_longer_and_names(practising, settle, qtbot, origin):
    window, recording = practising(FakeRecording(origin, STICK_LEADS))
    found = []
    for name, _ in stick_states(window, recording, settle):
        reached = reached_by_tab(window, qtbot)
        found += [f"{name}: out of Tab's way: {widget!r}" for widget in stops(window) if widget not in reached]
        found += [f"{name}: no name: {widget!r}" for widget in stops(window) if not widget.accessibleName()]
        lengthen(window)
        settle(window, times=12)
        found += [f"{name}: {fault}" for fault in cut_off(window)]
    assert not found, "\n".join(found)


def test_messages_a_third_longer_are_cut_off_nowhere(practising, settle):
    window, recording = practising(busy(ORIGINS[0]))
    for name in banners(window, recording, settle):
        lengthen(window)
        settle(window, times=12)
        assert cut_off(window) == [], name


def test_captures_and_findings_a_third_longer_are_cut_off_nowhere(open_window, settle, qtbot, tmp_path):
    window = open_window()
    found = []
    for name, _ in files(window, settle, qtbot, tmp_path):
        lengthen(window)
        settle(window, times=12)
        found += [f"{name}: {fault}" for fault in cut_off(window)]
    assert not found, "\n".join(found)


def grey(widget):
    return widget.grab().toImage().convertToFormat(QImage.Format.Format_Grayscale8)


def grey_bytes(widget):
    image = grey(widget)  # kept while its memory is read
    return bytes(image.constBits())


def test_the_states_of_the_strip_differ_without_colour_by_their_words_and_their_shapes(practising, settle):
    window, recording = practising(busy(ORIGINS[1]))
    words, pictures = {}, {}
    for link in LinkState:
        if link is LinkState.CLOSED:
            continue
        recorded = 41.0 if link in (LinkState.RECORDING, LinkState.PAUSED) else None
        recording.tell(link=link, recorded_s=recorded)
        settle(window)
        words[link] = window.strip.state.text()
        pictures[link] = grey_bytes(window.strip.mark)
    assert len(set(words.values())) == len(words)
    usable = {LinkState.LOOKING, LinkState.READY, LinkState.RECORDING, LinkState.PAUSED}
    troubled = set(words) - usable
    assert len({pictures[link] for link in troubled}) == 1  # one meaning, one shape: the probe cannot be used
    shapes = [pictures[link] for link in words if link not in troubled]
    assert len({*shapes, *(pictures[link] for link in troubled)}) == len(shapes) + 1


def test_a_chosen_button_and_a_confirmed_line_differ_in_grey_and_for_a_screen_reader(practising, settle):
    window, _ = practising(busy(ORIGINS[0]))
    window.interior.navigator.go_safe()
    settle(window)
    line = window.pages.safe.lines["practice"].button
    before, said = grey_bytes(line), line.text()
    line.click()
    settle(window)
    assert grey_bytes(line) != before
    assert line.text() != said
    assert line.isCheckable()
    assert line.isChecked()


def test_what_has_the_keyboard_has_a_ring_that_can_be_seen(practising, settle):
    window, _ = practising(busy(ORIGINS[0]))
    window.interior.navigator.go_start()
    settle(window)
    for widget in (window.start.open_button, window.start.radio_buttons["birch"], window.rail.help):
        widget.clearFocus()
        settle(window)
        before = grey(widget)
        widget.setFocus()
        settle(window)
        after = grey(widget)
        changed = sum(before.pixel(x, after.height() // 2) != after.pixel(x, after.height() // 2) for x in range(4))
        assert changed >= 2, widget.text()


class ShownAlone(QObject):
    """Keeps what is shown as a window of its own, beside the window itself: it flashes and takes the keyboard."""

    def __init__(self):
        super().__init__()
        self.found = []

    def eventFilter(self, watched, event):
        alone = event.type() is QEvent.Type.Show and isinstance(watched, QWidget) and watched.isWindow()
        if alone and not isinstance(watched, MainWindow):
            self.found.append(repr(watched))
        return False


@pytest.fixture
def shown_alone(qapp):
    """Return a list of all that is shown as a window of its own from now on."""
    watch = ShownAlone()
    qapp.installEventFilter(watch)
    yield watch.found
    qapp.removeEventFilter(watch)


def test_nothing_is_shown_before_it_has_its_place(shown_alone, practising, settle):
    window, recording = practising(busy(ORIGINS[0]))
    seen = [name for name, _ in pages(window, recording, settle)]
    assert len(seen) > 20
    assert shown_alone == []


def test_nothing_of_a_stick_s_test_is_shown_before_it_has_its_place(shown_alone, practising, settle):
    window, recording = practising(FakeRecording(ORIGINS[0], STICK_LEADS))
    assert list(stick_states(window, recording, settle))
    assert shown_alone == []


def test_nothing_of_a_file_is_shown_before_it_has_its_place(shown_alone, open_window, settle, qtbot, tmp_path):
    assert list(files(open_window(), settle, qtbot, tmp_path))
    assert shown_alone == []
