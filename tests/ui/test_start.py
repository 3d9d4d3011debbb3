"""The first page."""

import sys
from types import SimpleNamespace

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication

from benchapp.presentation.ground.messages import message_for
from benchapp.presentation.screens.shelf_words import GONE
from benchapp.records.errors import PortBusy
from benchapp.ui.kept.recents import Recent, recent_sessions, with_recent
from benchapp.ui.kept.settings import Settings, SettingsStore, session_folder, settings_file
from benchapp.ui.kept.steps import Step
from tests.ui.fake_bench import OPEN_BENCH, PORTS, FakeRecording, fake_desk
from tests.ui.made_sessions import made_session


def test_the_first_start_can_be_used_at_once_and_asks_nothing(open_window):
    window = open_window()
    for button in (window.start.practise_button, window.start.connect_button, window.start.open_button):
        assert button.isEnabled()
        assert button.isVisible()
    assert QApplication.activeModalWidget() is None
    assert window.step is Step.START


def test_enter_opens_the_practice_bench_with_the_radio_that_was_chosen(open_window, qtbot):
    asked = []
    desk = fake_desk(FakeRecording())
    desk[OPEN_BENCH] = lambda url: asked.append(url) or FakeRecording()
    window = open_window(desk)
    window.start.radio_buttons["cedar"].click()
    qtbot.keyClick(window, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: window.workbench.status is not None)
    assert asked == ["practice://cedar?motion=none&stroke_s=5&speeds=1,0.65,1.4,0.8,1.2&pace=real"]
    assert window.step is Step.LEADS


def test_a_port_that_cannot_be_opened_is_said_in_the_bar_and_start_stays_usable(open_window, qtbot):
    def refuse(url):
        raise PortBusy("/dev/ttyACM0 is held by another program.")

    desk = fake_desk()
    desk[OPEN_BENCH] = refuse
    window = open_window(desk)
    window.start.port_choice.setCurrentText("/dev/ttyACM0")
    window.start.connect_button.click()
    assert not window.start.connect_button.isEnabled()
    qtbot.waitUntil(window.banner.isVisible)
    assert window.banner.message == message_for(PortBusy("/dev/ttyACM0 is held by another program."))
    assert window.start.connect_button.isEnabled()
    assert window.workbench.status is None


def test_settings_are_typed_and_come_back_as_they_were(tmp_path):
    store = SettingsStore(tmp_path / "s.ini")
    kept = Settings(theme="dark", practice_radio="birch", flips=120, bench_flips=True)
    store.save(kept)
    assert SettingsStore(tmp_path / "s.ini").load() == kept
    assert SettingsStore(tmp_path / "s.ini").load().bench_flips is True


def test_settings_that_make_no_sense_read_as_the_usual_ones(tmp_path):
    path = tmp_path / "s.ini"
    path.write_text("[General]\nflips=many\nbench_flips=perhaps\nunknown=1\n")
    assert SettingsStore(path).load() == Settings()


def test_settings_and_sessions_are_kept_where_the_system_wants_them(tmp_path):
    if sys.platform.startswith("linux"):
        assert settings_file() == tmp_path / "config" / "benchapp" / "settings.ini"
        assert session_folder(Settings()) == tmp_path / "data" / "benchapp" / "sessions"
    SettingsStore().save(Settings())
    assert settings_file().exists()


def test_another_look_applies_at_once_and_is_remembered(open_window):
    window = open_window()
    before = window.palette().window().color().name()
    window.interior.preferences.change_look("dark")
    assert window.palette().window().color().name() == "#16181d" != before
    assert window.settings.theme == "dark"
    window.interior.preferences.change_look("light")
    assert window.palette().window().color().name() == "#f7f6f2"


def drop_on(window, path):
    """Drop a file on the window as a file manager does."""
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(path))])
    entered = QDragEnterEvent(
        QPoint(300, 300), Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    )
    window.dragEnterEvent(entered)
    if not entered.isAccepted():
        return False
    window.dropEvent(
        QDropEvent(
            QPointF(300, 300), Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
        )
    )
    return True


@pytest.fixture(scope="module")
def session(tmp_path_factory):
    return made_session(tmp_path_factory.mktemp("recent") / "Birch, first evening.t2h", "birch", flips=8)


def wait_open(window, qtbot):
    qtbot.waitUntil(lambda: window.session.now is not None, timeout=20000)


def test_a_session_that_was_opened_is_listed_and_carry_on_opens_it_again(open_window, qtbot, session):
    window = open_window()
    assert not window.start.carry_on_button.isEnabled()
    window.open_path(session)
    wait_open(window, qtbot)
    window.go(Step.START)
    assert window.start.recent.item(0).text() == "Birch, as it came"
    assert window.start.recent_card.isVisible()
    assert not window.start.picture.isVisible()
    assert window.start.carry_on_button.isEnabled()
    window.session.now = None
    window.start.carry_on_button.click()
    wait_open(window, qtbot)
    assert window.step is Step.FINDINGS
    assert [recent.path for recent in recent_sessions(window.settings.recent)] == [str(session)]


def test_a_session_dropped_on_the_window_is_opened(open_window, qtbot, session):
    window = open_window()
    assert drop_on(window, session)
    wait_open(window, qtbot)
    assert window.step is Step.FINDINGS


def test_a_file_of_another_kind_is_not_taken(open_window, tmp_path):
    assert not drop_on(open_window(), tmp_path / "picture.jpg")


def test_a_file_that_cannot_be_read_is_never_added_to_the_list(open_window, qtbot, tmp_path):
    window = open_window()
    bad = tmp_path / "bad.t2h"
    bad.write_text("no session")
    assert drop_on(window, bad)
    qtbot.waitUntil(window.banner.isVisible, timeout=20000)
    assert window.start.recent.count() == 0
    assert window.settings.recent == ""


def test_a_listed_session_that_is_gone_or_spoilt_is_struck_out_with_its_reason(open_window, qtbot, tmp_path, session):
    copy = tmp_path / "copy.t2h"
    copy.write_bytes(session.read_bytes())
    window = open_window()
    window.open_path(copy)
    wait_open(window, qtbot)
    copy.write_text("spoilt")
    window.go(Step.START)
    window.open_path(copy)
    qtbot.waitUntil(window.banner.isVisible, timeout=20000)
    assert window.start.recent.item(0).text() == "Birch, as it came"
    assert window.start.recent.struck_out(0) == window.banner.message.details
    assert not window.start.carry_on_button.isEnabled()


def test_a_listed_session_whose_file_is_gone_says_so_and_can_be_taken_off_the_list(
    open_window, qtbot, tmp_path, session
):
    copy = tmp_path / "copy.t2h"
    copy.write_bytes(session.read_bytes())
    window = open_window()
    window.open_path(copy)
    wait_open(window, qtbot)
    copy.unlink()
    window.go(Step.START)
    qtbot.waitUntil(lambda: window.start.recent.struck_out(0) == GONE)
    assert "cannot be read" in window.start.recent.item(0).data(Qt.ItemDataRole.AccessibleTextRole)
    assert not window.start.carry_on_button.isEnabled()
    window.start.recent_card.delete_button.click()
    qtbot.waitUntil(lambda: window.start.recent.count() == 0)
    card = window.start.recent_card
    assert card.isVisible()
    assert card.nothing.isVisible()
    assert "No session is listed any more" in card.nothing.text()
    for part in (window.start.picture, card.list, card.open_button, card.delete_button, card.taken_back):
        assert not part.isVisible()
    window.close()
    again = open_window()
    assert again.start.recent_card.nothing.isVisible()  # a list that was emptied is not taken for a first start
    assert not again.start.picture.isVisible()


def test_at_the_first_start_of_all_the_drawing_invites(open_window):
    window = open_window()
    assert window.start.picture.isVisible()
    assert not window.start.recent_card.isVisible()


def test_the_list_keeps_the_newest_first_and_each_file_once():
    kept = ""
    for name in ("a", "b", "a", *(f"c{number}" for number in range(19))):
        kept = with_recent(kept, Recent(path=f"/x/{name}.t2h", name=name))
    names = [recent.name for recent in recent_sessions(kept)]
    assert names == [*(f"c{number}" for number in reversed(range(19))), "a"]


@pytest.mark.parametrize(
    ("kept", "names"),
    [
        ("/home/a/Birch 7.t2h\n/home/a/Alder.t2h", ["Birch 7", "Alder"]),
        ("not a path", []),
        ("{}", []),
        ('["x", 3, {"path": 1, "name": "n"}, {"path": "/a", "name": "whole"}]', ["whole"]),
        ("[", []),
    ],
)
def test_a_list_kept_by_an_older_version_is_read_and_nonsense_is_passed_over(kept, names):
    assert [recent.name for recent in recent_sessions(kept)] == names


def test_a_hostile_name_in_the_list_is_shown_as_plain_text(open_window):
    window = open_window()
    hostile = Recent(path="/x/a.t2h", name="<b>bold</b>\u202e" + "x" * 300, started="nonsense\u202e")
    window.start.show_recent([(hostile, "")])
    item = window.start.recent.item(0)
    said = item.data(Qt.ItemDataRole.AccessibleTextRole)
    assert "\u202e" not in item.text() + said
    assert len(item.text()) < 200


def test_copy_details_puts_the_message_and_the_details_for_a_bug_report_on_the_clipboard(open_window):
    window = open_window()
    window.show_trouble(message_for(PortBusy("/dev/ttyACM0 is in use by another program.")))
    window.banner.copy.click()
    copied = QApplication.clipboard().text()
    assert window.banner.message.title in copied
    assert copied.endswith("versions and the log")


def test_a_port_is_told_by_what_its_device_calls_itself(open_window, qtbot):
    desk = fake_desk()
    found = [
        SimpleNamespace(name="/dev/ttyACM0", words="A board", seen=False, identified=True),
        SimpleNamespace(name="/dev/ttyS0", words="", seen=False, identified=False),
    ]
    desk[PORTS] = lambda: found
    window = open_window(desk)
    qtbot.waitUntil(lambda: window.start.port_choice.currentText() == "/dev/ttyACM0")
    assert window.start.port_sentence.text() == "A board (/dev/ttyACM0)"
    window.start.port_choice.setCurrentText("/dev/ttyS0")
    assert window.start.port_sentence.text() == ""
    found.clear()
    window.start.port_choice.clearEditText()
    window.start.probe_card.look_again.click()
    qtbot.waitUntil(lambda: "No port yet" in window.start.port_sentence.text())


def test_a_port_known_as_a_probe_is_proposed_before_a_bare_one_until_a_port_is_chosen(open_window, qtbot):
    desk = fake_desk()
    bare = SimpleNamespace(name="/dev/ttyS0", words="", seen=False, identified=True)
    known = SimpleNamespace(name="/dev/ttyUSB3", words="A board", seen=True, identified=True)
    found = [bare]
    desk[PORTS] = lambda: found
    window = open_window(desk)
    ports = window.start.port_choice
    qtbot.waitUntil(lambda: ports.currentText() == bare.name)
    found.append(known)  # it was plugged in only now
    window.start.probe_card.look_again.click()
    qtbot.waitUntil(lambda: ports.currentText() == known.name)
    ports.setCurrentIndex(ports.findText(bare.name))
    ports.activated.emit(ports.currentIndex())
    found.append(SimpleNamespace(name="/dev/ttyUSB4", words="", seen=False, identified=True))
    window.start.probe_card.look_again.click()
    qtbot.waitUntil(lambda: ports.count() == 3)
    assert ports.currentText() == bare.name


def test_a_port_chosen_by_hand_stays_chosen_also_where_it_was_the_one_proposed(open_window, qtbot):
    desk = fake_desk()
    found = [SimpleNamespace(name="/dev/ttyS0", words="", seen=False, identified=True)]
    desk[PORTS] = lambda: found
    window = open_window(desk)
    qtbot.waitUntil(lambda: window.start.port_choice.currentText() == "/dev/ttyS0")
    window.start.port_choice.activated.emit(0)
    found.append(SimpleNamespace(name="/dev/ttyUSB3", words="", seen=True, identified=True))
    window.start.probe_card.look_again.click()
    qtbot.waitUntil(lambda: window.start.port_choice.count() == 2)
    assert window.start.port_choice.currentText() == "/dev/ttyS0"
