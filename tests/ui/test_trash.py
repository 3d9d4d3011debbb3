"""Deleted sessions stay within reach on Start when the bar that offered to undo is gone."""

import json
from pathlib import Path

import pytest
from PySide6.QtCore import Qt

from benchapp.presentation.ground.messages import message_for
from benchapp.records.errors import PortBusy
from benchapp.ui.kept.settings import SettingsStore, trash_folder
from benchapp.ui.kept.steps import Step
from tests.ui.made_sessions import made_session
from tests.ui.test_start import wait_open


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    return made_session(tmp_path_factory.mktemp("trash") / "Birch.t2h", "birch", flips=8)


@pytest.fixture
def deleted(open_window, qtbot, tmp_path, made):
    """Make a window in which two sessions, the only ones, were deleted; return it with their files, the last first."""

    def deleted():
        window = open_window()
        paths = [tmp_path / f"{name}.t2h" for name in ("first", "second")]
        for path in paths:
            path.write_bytes(made.read_bytes())
            window.session.now = None
            window.open_path(path)
            wait_open(window, qtbot)
        window.go(Step.START)
        for path in paths:
            window.shelf.delete(path)
            qtbot.waitUntil(lambda gone=path: not gone.exists())
        qtbot.waitUntil(lambda: window.start.trash_card.list.count() == 2)
        return window, list(reversed(paths))

    return deleted


def listed(window):
    """Return the files that are listed, by what they were called on the disk."""
    rows = window.start.trash_card.list
    folders = [Path(rows.item(row).data(Qt.ItemDataRole.UserRole)) for row in range(rows.count())]
    return [path.stem for folder in folders for path in folder.glob("*.t2h")]


def test_nothing_is_offered_while_nothing_was_deleted(open_window, qtbot):
    window = open_window()
    qtbot.waitUntil(lambda: window._looked_around and not window.bridge.busy, timeout=10000)
    assert not window.start.trash_button.isVisible()
    assert not window.start.trash_card.isVisible()


def test_a_deleted_session_is_restored_after_another_message_took_the_place_of_undo(deleted, qtbot, made, tmp_path):
    window, paths = deleted()
    window.show_trouble(message_for(PortBusy("/dev/ttyACM0 is held by another program.")))
    assert not window.banner.offering
    window.start.trash_button.click()
    card = window.start.trash_card
    assert card.isVisible()
    assert not window.start.picture.isVisible()
    assert listed(window) == ["second", "first"]
    card.list.setCurrentRow(1)
    assert card.list.item(1).text() == "Birch, as it came"
    assert card.restore_button.accessibleName() == "Restore Birch, as it came"
    card.restore_button.click()
    qtbot.waitUntil(lambda: window.start.recent.count() == 1)
    assert paths[1].read_bytes() == made.read_bytes()
    assert window.banner.title.text() == "“Birch, as it came” is back"
    qtbot.waitUntil(lambda: listed(window) == ["second"])
    assert card.isVisible()
    stored = SettingsStore(tmp_path / "settings.ini").load()
    assert [entry["name"] for entry in json.loads(stored.recent)] == ["Birch, as it came"]


def test_enter_restores_the_one_that_is_marked_and_the_card_leaves_once_it_is_empty(deleted, qtbot):
    window, paths = deleted()
    window.start.trash_button.click()
    card = window.start.trash_card
    assert card.list.hasFocus()
    for left in (1, 0):
        qtbot.keyClick(card.list, Qt.Key.Key_Return)
        qtbot.waitUntil(lambda left=left: card.list.count() == left)
    assert all(path.exists() for path in paths)
    assert not card.isVisible()
    assert not window.start.trash_button.isVisible()
    assert window.start.recent_card.isVisible()
    assert list(trash_folder().iterdir()) == []


def test_back_gives_the_list_back_which_says_that_it_is_empty_and_where_the_deleted_ones_are(deleted):
    window, _ = deleted()
    window.start.trash_button.click()
    window.start.trash_card.back_button.click()
    assert not window.start.trash_card.isVisible()
    assert window.start.recent_card.nothing.isVisible()
    assert "Deleted sessions…" in window.start.recent_card.taken_back.text()
    assert window.start.recent_card.taken_back.isVisible()
    assert not window.start.picture.isVisible()
    assert window.start.trash_button.isVisible()


def test_what_was_deleted_is_still_offered_at_the_next_start_with_its_dates(deleted, open_window, qtbot):
    window, _ = deleted()
    window.close()
    again = open_window()
    qtbot.waitUntil(again.start.trash_button.isVisible, timeout=10000)
    said = again.start.trash_card.list.item(0).data(Qt.ItemDataRole.AccessibleTextRole)
    assert said.startswith("Birch, as it came, deleted ")
    assert "kept until " in said


def test_where_another_file_has_its_name_by_now_it_stays_in_the_trash_and_the_bar_says_so(deleted, qtbot):
    window, paths = deleted()
    window.banner.clear()
    paths[0].write_text("another")
    window.start.trash_button.click()
    window.start.trash_card.restore_button.click()
    qtbot.waitUntil(window.banner.isVisible)
    assert "another" in window.banner.details.text()
    assert window.start.trash_card.list.count() == 2
    assert paths[0].read_text() == "another"
