"""Settings: typed, in force at once, and back to usual."""

import subprocess
import sys

import pytest
from PySide6.QtCore import QSettings, Qt

from benchapp.desk.menu_entry import is_in_menu, menu_folder
from benchapp.ui.kept.settings import Settings, SettingsStore
from benchapp.ui.kept.steps import Step
from benchapp.ui.look.tokens import Type


def test_a_new_process_reads_every_value_with_its_type(tmp_path):
    path = tmp_path / "settings.ini"
    kept = Settings(sounds=False, single_keys=False, flips=7, recent="/only/one", theme="dark")
    SettingsStore(path).save(kept)
    code = (
        "import sys; from pathlib import Path; from benchapp.ui.kept.settings import SettingsStore; "
        "print(repr(SettingsStore(Path(sys.argv[1])).load()))"
    )
    done = subprocess.run([sys.executable, "-c", code, str(path)], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == repr(kept)


def test_nonsense_in_the_file_reads_as_usual(tmp_path):
    path = tmp_path / "settings.ini"
    path.write_text("[General]\nflips=many\nsounds=perhaps\n", encoding="utf-8")
    assert SettingsStore(path).load() == Settings()


def test_a_setting_takes_effect_at_once_and_is_remembered(open_window, qtbot, tmp_path, theme):
    window = open_window()
    qtbot.keyClick(window, Qt.Key.Key_Comma, Qt.KeyboardModifier.ControlModifier)
    page = window.pages.settings
    assert window.stage.currentWidget() is page
    page.looks[2].click()
    assert theme.tokens.name == "dark"
    page.sounds.click()
    assert not window.pages.tests.choice.sounds.isChecked()
    stored = SettingsStore(tmp_path / "settings.ini").load()
    assert (stored.theme, stored.sounds) == ("dark", False)
    page.reset_button.click()
    assert theme.tokens.name == "light"
    assert window.settings == Settings()


@pytest.mark.parametrize("press", [lambda page: page.looks[2], lambda page: page.reset_button], ids=["look", "reset"])
def test_a_change_keeps_the_sessions_opened_and_what_was_noted_since_the_settings_were_last_seen(
    open_window, tmp_path, press
):
    window = open_window()
    noted = {
        "recent": '[{"path": "/x/a.t2h", "name": "A"}]',
        "skipped": '["/x/b.t2h"]',
        "last_bench": '{"servo": "old"}',
    }
    window.memory.change(**noted)
    window.show_settings()
    press(window.pages.settings).click()
    stored = SettingsStore(tmp_path / "settings.ini").load()
    assert {name: getattr(stored, name) for name in noted} == noted
    assert window.settings == stored


def test_letters_grow_at_once_on_every_page_and_keep_their_size_in_another_look(open_window):
    window = open_window()
    labels = [window.start.sentence, window.pages.leads.title, window.pages.tests.choice.first]
    usual = [label.font().pointSizeF() for label in labels]
    assert usual == [Type.LEAD, Type.TITLE, Type.BODY]
    window.show_settings()
    page = window.pages.settings
    for number, percent in ((3, 200), (1, 125), (0, 100), (2, 150)):
        page.text_sizes[number].click()
        assert window.settings.text_percent == percent
        assert [label.font().pointSizeF() for label in labels] == [size * percent / 100 for size in usual]
    page.looks[2].click()
    assert [label.font().pointSizeF() for label in labels] == [size * 1.5 for size in usual]


def test_what_is_read_across_the_room_grows_less_and_comes_back_to_its_size(open_window):
    window = open_window()
    prompt, page = window.pages.tests.run.prompt, window.pages.settings
    for number, size_pt in ((3, 59.4), (2, 51.4), (0, 42.0)):  # 42 pt by the root of 2, of 1.5 and of 1
        page.text_sizes[number].click()
        assert prompt.font().pointSizeF() == pytest.approx(size_pt, abs=0.05)


def test_escape_leaves_the_settings_for_the_page_they_were_opened_on(open_window, qtbot):
    window = open_window()
    window.go(Step.SAFE)
    window.rail.settings.click()
    qtbot.keyClick(window.pages.settings, Qt.Key.Key_Escape)
    assert window.stage.currentWidget() is window.pages.safe


def test_the_program_goes_into_the_system_s_menu_and_out_again(open_window, qtbot):
    window = open_window()
    window.show_settings()
    page = window.pages.settings
    assert page.menu_button.text() == "Put into the menu"
    page.menu_button.click()
    qtbot.waitUntil(lambda: page.menu_button.text() == "Take out of the menu", timeout=10000)
    assert is_in_menu(menu_folder())
    page.menu_button.click()
    qtbot.waitUntil(lambda: page.menu_button.text() == "Put into the menu", timeout=10000)
    assert not is_in_menu(menu_folder())


def test_a_menu_that_cannot_be_written_is_said_in_the_bar(open_window, qtbot, tmp_path):
    (tmp_path / "data").write_text("a file where the folder should be")
    window = open_window()
    window.show_settings()
    window.pages.settings.menu_button.click()
    qtbot.waitUntil(window.banner.isVisible, timeout=10000)
    assert window.banner.title.text() == "The disk would not take it"
    assert window.pages.settings.menu_button.text() == "Put into the menu"


def ini(text: str) -> str:
    return "[General]\n" + text


NONSENSE = {
    "text_percent": ["9" * 400, "100000", "-5", "99", "1e9", "nan"],
    "flips": ["9" * 5_000, "0", "-3", "many"],
    "theme": ["neon", "x" * 100_000],
    "session_folder": ["relative/folder", "x" * 10_000],
    "sounds": ["perhaps", "1"],
    "recent": ["[" * 100_000, "{" * 5_000, '[{"path": ' * 40_000, "9" * 5_000],
    "skipped": ["[" * 100_000],
    "last_bench": ["[" * 100_000, '{"a":' * 60_000],
}


@pytest.mark.parametrize(("name", "text"), [(name, text) for name, texts in NONSENSE.items() for text in texts])
def test_the_window_always_starts_and_says_which_setting_it_ignored(open_window, tmp_path, name, text):
    QSettings(str(tmp_path / "settings.ini"), QSettings.Format.IniFormat).setValue(name, text)
    window = open_window()
    assert getattr(window.settings, name) == getattr(Settings(), name)
    assert window.memory.ignored == (name,)
    assert window.banner.isVisible()
    assert "Some settings could not be read" in window.banner.title.text()
    window.pages.bench.show()


def test_a_list_in_place_of_a_value_is_ignored_and_said(open_window, tmp_path):
    (tmp_path / "settings.ini").write_text(ini("flips=1, 2, 3\ntext_percent=150\n"), encoding="utf-8")
    window = open_window()
    assert window.memory.ignored == ("flips",)
    assert (window.settings.flips, window.settings.text_percent) == (60, 150)


def test_settings_that_make_sense_are_taken_without_a_word(open_window, tmp_path):
    kept = Settings(text_percent=200, flips=100_000, theme="dark", session_folder=str(tmp_path), recent="/only/one")
    SettingsStore(tmp_path / "settings.ini").save(kept)
    window = open_window()
    assert window.memory.ignored == ()
    assert window.settings.flips == 100_000
    assert not window.banner.isVisible()
