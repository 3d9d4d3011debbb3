"""The first page."""

import sys

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from benchapp.presentation.messages import message_for
from benchapp.records.errors import PortBusy
from benchapp.ui.settings import Settings, SettingsStore, session_folder, settings_file
from benchapp.ui.steps import Step
from tests.ui.fake_bench import FakeRecording, fake_desk


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
    object.__setattr__(desk, "open_bench", lambda url: asked.append(url) or FakeRecording())
    window = open_window(desk)
    window.start.radio_buttons["cedar"].click()
    qtbot.keyClick(window, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: window.workbench.status is not None)
    assert asked == ["practice://cedar?flips=none&pace=real"]
    assert window.step is Step.LEADS


def test_a_port_that_cannot_be_opened_is_said_in_the_bar_and_start_stays_usable(open_window, qtbot):
    def refuse(url):
        raise PortBusy("/dev/ttyACM0 is held by another program.")

    desk = fake_desk()
    object.__setattr__(desk, "open_bench", refuse)
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
    window.change_look("dark")
    assert window.palette().window().color().name() == "#16181d" != before
    assert window.settings.theme == "dark"
    window.change_look("light")
    assert window.palette().window().color().name() == "#f7f6f2"
