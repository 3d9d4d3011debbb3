"""The window's tests: one look, and nothing left behind by any of them."""

import gc
import threading
import time

import pytest
from PySide6.QtCore import QEvent, QEventLoop, QTimer
from PySide6.QtWidgets import QApplication
from shiboken6 import isValid

from benchapp.ui.kept.settings import SettingsStore
from benchapp.ui.look.theme import Theme, apply_theme, use_style_sheet
from benchapp.ui.look.tokens import LIGHT
from benchapp.ui.window.main_window import MainWindow
from tests.ui.fake_bench import FakeRecording, bug_details, fake_desk

PATIENCE_MS = 120_000
LONGEST_WORK_S = 10.0
_UNHEARD = [
    "This plugin does not support propagateSizeHints",  # the screenless platform says so of every window
]


def pytest_collection_modifyitems(items):
    for item in items:
        if "/ui/" in str(item.path):
            item.add_marker(pytest.mark.qt_log_level_fail("WARNING"))
            item.add_marker(pytest.mark.qt_log_ignore(*_UNHEARD))


def flush_deletions():
    for _ in range(3):
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
        QApplication.processEvents()


def running_timers():
    """Return the timers that run, of those made since everything there was before was set aside."""
    return [o for o in gc.get_objects() if isinstance(o, QTimer) and isValid(o) and o.isActive()]


@pytest.fixture(autouse=True)
def nothing_left_behind(qapp):
    """Fail a test that leaves a thread, a running timer or a top-level widget.

    What was there before is set aside meanwhile (`gc.freeze`): looking through it after each test took longer than
    many a test.
    """
    flush_deletions()
    threads = set(threading.enumerate())
    widgets = {id(w) for w in QApplication.topLevelWidgets()}
    gc.freeze()
    yield
    flush_deletions()
    gc.collect()
    flush_deletions()
    left_timers = running_timers()
    gc.unfreeze()
    left_threads = [t.name for t in threading.enumerate() if t not in threads]
    left_widgets = [repr(w) for w in QApplication.topLevelWidgets() if id(w) not in widgets]
    assert left_threads == []
    assert left_widgets == []
    assert left_timers == []


@pytest.fixture(autouse=True)
def own_places(tmp_path, monkeypatch):
    """Keep settings, data, state and runtime files inside the test's folder."""
    for name in ("CONFIG", "DATA", "STATE", "CACHE"):
        monkeypatch.setenv(f"XDG_{name}_HOME", str(tmp_path / name.lower()))


@pytest.fixture
def qtbot(qtbot, monkeypatch):
    """A bot that waits for the thing: a busy computer may take a minute for what usually takes a moment."""
    wait_until = qtbot.waitUntil

    def patient(come, *, timeout=5000):
        wait_until(come, timeout=max(timeout, PATIENCE_MS))

    monkeypatch.setattr(qtbot, "waitUntil", patient)
    return qtbot


@pytest.fixture
def theme(qapp):
    made = Theme()
    apply_theme(qapp, made, LIGHT)
    yield made
    made.deleteLater()


@pytest.fixture
def settle(qapp):
    """Let short work on a file or a port come back, the bridge take what is ready, and the window paint it."""

    def settle(window, times=4):
        until_s = time.monotonic() + LONGEST_WORK_S
        while window.bridge.busy and time.monotonic() < until_s:  # what hangs or is long is not waited for
            qapp.processEvents(QEventLoop.ProcessEventsFlag.AllEvents, 5)
            window.bridge.tick()
        for _ in range(times):
            window.bridge.tick()
            qapp.processEvents()
        for _ in range(3):  # a word the last tick brought passes from layout to layout, an event each
            qapp.processEvents()

    return settle


@pytest.fixture
def open_window(qapp, theme, tmp_path, qtbot, monkeypatch):
    """Make windows that are closed and deleted at the end; desk tells what stands in for functions of the desk."""
    made = []

    def open_window(desk=None):
        for place, function in (fake_desk() if desk is None else desk).items():
            monkeypatch.setattr(place, function)
        qapp.setStyleSheet("")  # the program sets it, as here, once Start is made
        window = MainWindow(theme, SettingsStore(tmp_path / "settings.ini"), bug_details=bug_details)
        use_style_sheet(qapp, theme.tokens)
        made.append(window)
        window.resize(1280, 720)
        window.show()
        window.activateWindow()
        qapp.processEvents()
        assert window.interior
        return window

    yield open_window
    for window in made:
        window.close()
        qtbot.waitUntil(lambda window=window: window.bridge.gone, timeout=30000)
        window.deleteLater()
    made.clear()


@pytest.fixture
def moment_passes(settle):
    """Let the moment pass in which the run page takes no hasty click or key: its clock goes on, nobody waits."""

    def moment_passes(window, seconds=2.0):
        calm = window.pages.tests.run.calm
        later_s = calm.now_s() + seconds
        calm.now_s = lambda: later_s
        settle(window)

    return moment_passes


@pytest.fixture
def practising(open_window, settle, qtbot):
    """Return a window on a bench that the test moves by hand, and its recording."""

    def practising(recording=None):
        recording = recording or FakeRecording()
        window = open_window(fake_desk(recording))
        window.practise("alder")
        qtbot.waitUntil(lambda: window.workbench.status is not None)
        settle(window)
        return window, recording

    return practising
