"""What must never catch anybody: keys that do another thing, lists that hide a line, files nobody finds."""

from pathlib import Path
from types import SimpleNamespace

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QApplication, QLabel

from benchapp.ui.kept.steps import Step
from benchapp.ui.look.theme import apply_theme
from benchapp.ui.look.tokens import DARK, LIGHT, contrast_ratio
from benchapp.ui.screens.start.probe_card import OTHER_PORTS
from benchapp.ui.widgets.choice_box import ChoiceBox
from benchapp.ui.window import main_window
from tests.ui.fake_bench import OPEN_BENCH, PORTS, FakeRecording, fake_desk
from tests.ui.made_sessions import made_session

SCREEN_PX = (1280, 720)
FRAME_PX = (8, 47)
"""The widest frame and the highest title bar of the usual desktops (from memory, not measured)."""


POPUPS = pytest.mark.qt_log_ignore("This plugin does not support")
"""The screenless platform says so of every list that pops up."""


def port(name, *, seen=False, identified=True):
    return SimpleNamespace(name=name, words="", seen=seen, identified=identified)


@pytest.fixture
def with_ports(open_window, qtbot):
    """Return a window on these ports, and what was opened."""

    def with_ports(*found):
        opened = []
        desk = fake_desk()
        desk[PORTS] = lambda: list(found)
        desk[OPEN_BENCH] = lambda url: opened.append(url) or FakeRecording()
        window = open_window(desk)
        qtbot.waitUntil(lambda: bool(window.start.port_choice.count()))
        return window, opened

    return with_ports


# Start ---------------------------------------------------------------------------------------------------------------


def test_with_a_known_probe_plugged_in_enter_begins_a_session_on_it(with_ports, qtbot):
    window, opened = with_ports(port("/dev/ttyACM1"), port("/dev/ttyACM7", seen=True))
    assert window.start.main_button() is window.start.connect_button
    qtbot.keyClick(window, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: window.workbench.status is not None)
    assert opened == ["/dev/ttyACM7"]


def test_without_a_known_probe_enter_opens_the_practice_bench(with_ports, qtbot):
    window, opened = with_ports(port("/dev/ttyACM1"))
    qtbot.keyClick(window, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: window.workbench.status is not None)
    assert opened[0].startswith("practice://")


def test_the_keyboard_goes_along_when_a_known_probe_is_plugged_in(open_window, qtbot):
    found = []
    desk = fake_desk()
    desk[PORTS] = lambda: found
    window = open_window(desk)
    window.start.practise_button.setFocus()
    found.append(port("/dev/ttyACM7", seen=True))
    window.start.look_for_ports.emit()
    qtbot.waitUntil(window.start.connect_button.hasFocus)
    found.clear()
    window.start.look_for_ports.emit()
    qtbot.waitUntil(window.start.practise_button.hasFocus)


def lines(box):
    return [box.itemText(place) for place in range(box.count())]


@POPUPS
def test_ports_without_a_usb_identity_fold_into_one_line_until_it_is_chosen(with_ports):
    bare = [port(f"/dev/ttyS{place}", identified=False) for place in range(4)]
    window, _ = with_ports(port("/dev/ttyACM1"), *bare)
    box = window.start.port_choice
    assert lines(box) == ["/dev/ttyACM1", OTHER_PORTS]
    box.activated.emit(1)
    assert lines(box) == ["/dev/ttyACM1", *(found.name for found in bare)]
    assert box.currentText() == "/dev/ttyACM1"
    box.hidePopup()


def test_a_port_that_held_a_probe_never_folds_and_no_bare_one_is_proposed(with_ports):
    window, _ = with_ports(port("/dev/ttyS0", identified=False), port("/dev/ttyS1", identified=False, seen=True))
    assert lines(window.start.port_choice) == ["/dev/ttyS1", OTHER_PORTS]
    window, _ = with_ports(port("/dev/ttyS0", identified=False))
    assert lines(window.start.port_choice) == [OTHER_PORTS]
    assert window.start.port_choice.currentText() == ""


# Lists, sizes, colours -----------------------------------------------------------------------------------------------


@POPUPS
def test_a_list_of_choices_shows_all_its_lines_whole(qtbot, theme):
    box = ChoiceBox()
    qtbot.addWidget(box)
    box.addItems([f"choice {place} with a good many words that are wider than the box itself" for place in range(16)])
    box.resize(120, box.sizeHint().height())
    box.show()
    box.showPopup()
    view = box.view()
    assert view.verticalScrollBar().maximum() == 0
    assert view.width() >= view.sizeHintForColumn(0)
    box.hidePopup()


def test_the_window_with_its_title_bar_fits_a_small_screen():
    for size, frame, screen in zip(main_window.USUAL_SIZE, FRAME_PX, SCREEN_PX, strict=True):
        assert size + frame <= screen
    assert all(least <= usual for least, usual in zip(main_window.LEAST_SIZE, main_window.USUAL_SIZE, strict=True))


@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=["light", "dark"])
def test_selected_text_keeps_its_contrast_with_and_without_the_keyboard(qapp, theme, tokens):
    apply_theme(qapp, theme, tokens)
    palette, groups = qapp.palette(), QPalette.ColorGroup
    for group in (groups.Active, groups.Inactive):
        ground = palette.color(group, QPalette.ColorRole.Highlight).name()
        ink = palette.color(group, QPalette.ColorRole.HighlightedText).name()
        assert contrast_ratio(ink, ground) >= 4.5  # WCAG 2.2, success criterion 1.4.3


def practice_words(window):
    shown = [label.text() for label in window.findChildren(QLabel) if label.isVisible()]
    return sum(text.count("PRACTICE") for text in shown)


def test_practice_is_said_on_every_page_and_at_most_twice(practising, settle):
    window, _ = practising()
    for step in Step:
        window.go(step)
        settle(window)
        assert 1 <= practice_words(window) <= 2, step


# Reports -------------------------------------------------------------------------------------------------------------


def test_a_report_goes_to_the_documents_and_is_opened_and_found_from_the_bar(
    open_window, settle, qtbot, tmp_path, monkeypatch
):
    documents = tmp_path / "Papers"
    documents.mkdir()
    (tmp_path / "config").mkdir(exist_ok=True)
    (tmp_path / "config" / "user-dirs.dirs").write_text(f'XDG_DOCUMENTS_DIR="{documents}"\n', encoding="utf-8")
    asked, shown, reports = [], [], []

    def chosen(_parent, _question, folder):
        asked.append(folder)
        return folder

    monkeypatch.setattr("benchapp.ui.window.doorway.folder_for", chosen)
    window = open_window(fake_desk(reports=reports, shown=shown))
    window.open_path(made_session(tmp_path / "a.t2h", "birch", flips=3))
    qtbot.waitUntil(lambda: window.session.now is not None)
    window.interior.doorway.ask_report()
    qtbot.waitUntil(window.banner.isVisible)
    written = documents / "a report"
    assert asked == [documents]
    assert [folder for _session, folder, _photo in reports] == [written]
    assert str(written) in window.banner.body.text().replace("\u200b", "")
    for words, path in (("Open", written / "report.html"), ("Show in folder", written)):
        window.interior.doorway._show_report(written)
        act = next(made for made in window.banner.acts if made.text() == words)
        del shown[:]
        act.click()
        assert shown == [Path(path)]
    assert QApplication.activeModalWidget() is None
