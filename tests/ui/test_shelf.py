"""Sessions that are kept: deleted ones come back, those a crash left are offered, a run is never ended by a file."""

import hashlib
import json

import pytest
from PySide6.QtCore import Qt

from benchapp.desk.trash import KEPT_DAYS
from benchapp.presentation.ground.messages import CATALOGUE
from benchapp.presentation.screens.shelf_words import RUN_GOES_ON
from benchapp.records.errors import DiskTrouble, SessionBusy
from benchapp.sessions.lock import take_lock
from benchapp.sessions.opening import open_session
from benchapp.ui.kept.settings import Settings, SettingsStore, trash_folder, usual_session_folder
from benchapp.ui.kept.steps import Step
from benchapp.ui.window.progress import done_steps
from tests.desk.stopped_session import stopped_early
from tests.ui.fake_bench import DISCARD, fake_desk
from tests.ui.made_sessions import made_session
from tests.ui.test_start import drop_on, wait_open


def checksum(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    return made_session(tmp_path_factory.mktemp("shelf") / "Birch.t2h", "birch", flips=8)


@pytest.fixture
def listed(open_window, qtbot, tmp_path, made):
    """Make a window with three sessions on its list; return it with their files, the newest first."""

    def listed():
        window = open_window()
        paths = [tmp_path / f"{name}.t2h" for name in ("first", "second", "third")]
        for path in paths:
            path.write_bytes(made.read_bytes())
            window.session.now = None
            window.open_path(path)
            wait_open(window, qtbot)
        window.go(Step.START)
        return window, list(reversed(paths))

    return listed


def names(window):
    return [window.start.recent.item(row).data(Qt.ItemDataRole.UserRole) for row in range(window.start.recent.count())]


def test_a_deleted_session_comes_back_to_the_byte_and_to_its_place(listed, qtbot, tmp_path):
    window, paths = listed()
    assert window.start.recent.currentRow() == 0
    before, victim = checksum(paths[1]), paths[1]
    window.start.recent.setCurrentRow(1)
    window.start.recent_card.delete_button.click()
    qtbot.waitUntil(lambda: not victim.exists())
    qtbot.waitUntil(window.banner.isVisible)
    assert window.banner.title.text() == "“Birch, as it came” was deleted"
    assert f"{KEPT_DAYS} days" in window.banner.body.text()
    assert names(window) == [str(paths[0]), str(paths[2])]
    assert window.start.recent.currentRow() == 1
    assert not window.banner.copy.isVisible()
    assert len(list(trash_folder().rglob("*.t2h"))) == 1
    window.banner.acts[0].click()
    qtbot.waitUntil(lambda: len(names(window)) == 3)
    assert checksum(victim) == before
    assert names(window) == [str(path) for path in paths]
    assert not window.banner.isVisible()
    assert list(trash_folder().iterdir()) == []
    stored = SettingsStore(tmp_path / "settings.ini").load()
    assert [entry["path"] for entry in json.loads(stored.recent)] == [str(path) for path in paths]


def test_delete_on_the_list_does_the_same_by_keyboard_and_undo_has_the_keyboard_s_walk(listed, qtbot):
    window, paths = listed()
    window.start.recent.setFocus()
    qtbot.keyClick(window.start.recent, Qt.Key.Key_Delete)
    qtbot.waitUntil(window.banner.isVisible)
    assert not paths[0].exists()
    assert window.banner.acts[0].text() == "Undo"
    assert window.banner.acts[0].focusPolicy() & Qt.FocusPolicy.TabFocus
    assert "Undo" in window.banner.acts[0].accessibleName()


def test_enter_on_the_list_opens_the_session_that_is_marked(listed, qtbot):
    window, paths = listed()
    window.session.now = None
    window.start.recent.setCurrentRow(2)
    window.start.recent.setFocus()
    qtbot.keyClick(window.start.recent, Qt.Key.Key_Return)
    wait_open(window, qtbot)
    assert window.session.now.path == paths[2]


def test_a_session_that_cannot_be_moved_stays_and_the_bar_says_why(open_window, qtbot, tmp_path, made):
    def refuse(path, trash, *, now):
        raise DiskTrouble("The disk is full.", kept="It is where it was.")

    desk = fake_desk()
    desk[DISCARD] = refuse
    path = tmp_path / "kept.t2h"
    path.write_bytes(made.read_bytes())
    window = open_window(desk)
    window.open_path(path)
    wait_open(window, qtbot)
    window.go(Step.START)
    window.start.recent_card.delete_button.click()
    qtbot.waitUntil(window.banner.isVisible)
    assert window.banner.message.kept == "It is where it was."
    assert names(window) == [str(path)]
    assert path.exists()


def test_a_session_that_is_being_recorded_stays_and_the_bar_says_that_the_recording_goes_on(listed, qtbot):
    window, paths = listed()
    before = checksum(paths[0])
    lock = take_lock(paths[0])
    try:
        window.start.recent_card.delete_button.click()
        qtbot.waitUntil(window.banner.isVisible)
    finally:
        lock.release()
    said = window.banner.message
    assert (said.title, said.kept) == (CATALOGUE[SessionBusy].title, CATALOGUE[SessionBusy].kept)
    assert "is being recorded" in said.details
    assert "recorded" in said.title
    assert "goes on" in said.kept
    assert names(window) == [str(path) for path in paths]
    assert checksum(paths[0]) == before
    assert window.session.now.path == paths[0]


def crashed(name="a", *, blocks=2):
    folder = usual_session_folder()
    folder.mkdir(parents=True, exist_ok=True)
    return stopped_early(folder / f"{name}.t2h")


def test_a_session_a_crash_left_is_offered_with_what_was_kept_and_opening_it_closes_it(open_window, qtbot):
    path = crashed()
    name = open_session(path).facts.name
    window = open_window()
    qtbot.waitUntil(window.banner.isVisible, timeout=10000)
    assert window.banner.title.text() == f"“{name}” was stopped early; 2 of 2 blocks good"
    assert [act.text() for act in window.banner.acts] == ["Open it", "Skip"]
    window.banner.acts[0].click()
    wait_open(window, qtbot)
    assert open_session(path).closed
    assert window.step is Step.FINDINGS
    assert window.banner.title.text() == f"“{name}” is closed properly now"
    assert "2 of 2 blocks good" in window.banner.body.text()


def test_one_that_was_skipped_is_never_offered_again_and_stays_as_it_is(open_window, qtbot, settle):
    path = crashed()
    before = checksum(path)
    window = open_window()
    qtbot.waitUntil(window.banner.isVisible, timeout=10000)
    window.banner.acts[1].click()
    assert not window.banner.isVisible()
    window.close()
    again = open_window()
    qtbot.waitUntil(lambda: again._looked_around and not again.bridge.busy, timeout=10000)
    settle(again)
    assert not again.banner.isVisible()
    assert checksum(path) == before


def test_one_whose_message_was_only_put_away_is_offered_at_the_next_start(open_window, qtbot):
    crashed()
    window = open_window()
    qtbot.waitUntil(window.banner.isVisible, timeout=10000)
    window.banner.close_button.click()
    window.close()
    again = open_window()
    qtbot.waitUntil(again.banner.isVisible, timeout=10000)


def test_several_are_offered_one_after_the_other(open_window, qtbot):
    for name in "ab":
        crashed(name)
    window = open_window()
    qtbot.waitUntil(window.banner.isVisible, timeout=10000)
    assert "one more after it" in window.banner.body.text()
    window.banner.acts[1].click()
    assert window.banner.isVisible()
    assert "after it" not in window.banner.body.text()
    window.banner.acts[1].click()
    assert not window.banner.isVisible()


@pytest.mark.parametrize("skipped", ["[", "{}", "plain words", '["/x", 3]'])
def test_nonsense_among_the_skipped_ones_is_passed_over(open_window, qtbot, tmp_path, skipped):
    crashed()
    SettingsStore(tmp_path / "settings.ini").save(Settings(skipped=skipped))
    window = open_window()
    qtbot.waitUntil(window.banner.isVisible, timeout=10000)


def test_a_file_dropped_in_a_run_does_not_end_it(practising, settle, made):
    window, recording = practising()
    window.workbench.confirm("practice", yes=True)
    window.go(Step.TESTS)
    settle(window)
    window.pages.tests.choice.start_button.click()
    settle(window)
    assert window.workbench.running
    assert drop_on(window, made)
    assert window.banner.message == RUN_GOES_ON
    assert window.workbench.running
    assert not recording.closed


def test_two_copies_of_the_program_do_not_forget_each_other_s_sessions(open_window, qtbot, tmp_path, made):
    one, other = open_window(), open_window()
    for window, name in ((one, "one"), (other, "other")):
        path = tmp_path / f"{name}.t2h"
        path.write_bytes(made.read_bytes())
        window.open_path(path)
        wait_open(window, qtbot)
    one.interior.preferences.change_look("light")
    stored = json.loads(SettingsStore(tmp_path / "settings.ini").load().recent)
    assert [entry["path"] for entry in stored] == [str(tmp_path / "other.t2h"), str(tmp_path / "one.t2h")]


def test_the_session_on_screen_leaves_it_when_it_is_deleted_and_comes_back_when_it_is_opened_again(listed, qtbot):
    window, paths = listed()
    assert window.strip.state.text().startswith("Saved session")
    assert window.pages.findings.sheet.isVisibleTo(window.pages.findings)
    window.start.recent_card.delete_button.click()
    qtbot.waitUntil(lambda: window.session.now is None)
    findings = window.pages.findings
    assert window.strip.state.text() == "No probe"
    assert findings.empty.isVisibleTo(findings)
    assert not findings.report_button.isVisibleTo(findings)
    assert Step.FINDINGS not in done_steps(window.workbench, window.session, window.pages)
    window.banner.acts[0].click()
    qtbot.waitUntil(lambda: len(names(window)) == len(paths))
    window.start.carry_on_button.click()
    wait_open(window, qtbot)
    assert findings.report_button.isVisible()
    assert window.strip.state.text().startswith("Saved session")


def test_another_session_than_the_deleted_one_stays_on_screen(listed, qtbot):
    window, paths = listed()
    window.start.recent.setCurrentRow(1)
    window.start.recent_card.delete_button.click()
    qtbot.waitUntil(lambda: len(names(window)) == len(paths) - 1)
    assert window.session.now.path == paths[0]
    assert window.strip.state.text().startswith("Saved session")
