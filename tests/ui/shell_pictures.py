"""Pictures of the window's messages and settings, and of every page and state with letters twice as large."""

import tempfile
from pathlib import Path

from benchapp.desk.exporting import export
from benchapp.records.run import Origin
from benchapp.ui.kept.steps import Step
from benchapp.ui.look.theme import apply_theme
from tests.ui.fake_bench import FakeRecording
from tests.ui.fake_stick import STICK_LEADS
from tests.ui.made_sessions import made_session
from tests.ui.visits import banners, busy, pages, stick_states


def message_pictures(camera) -> None:
    """The bar with everything it may offer, over Start with its list; the settings."""
    window, recording = _opened(camera, busy(Origin.PROBE))
    for name in banners(window, recording, camera.settle):
        camera.take(window, f"message-{_key(name)}")
    window.show_settings()
    camera.take(window, "settings")
    scroll = window.pages.settings.scroller.verticalScrollBar()
    scroll.setValue(scroll.maximum())
    camera.take(window, "settings-down")
    camera.close(window)


def large_pictures(camera) -> None:
    """Letters twice as large, on every page."""
    apply_theme(camera.app, camera.theme, camera.tokens, text_percent=200)
    for origin in (Origin.PRACTICE, Origin.PROBE):
        window, recording = _opened(camera, busy(origin))
        for name, _ in pages(window, recording, camera.settle):
            camera.take(window, f"large-{origin.value}-{_key(name)}")
        for name in banners(window, recording, camera.settle):
            camera.take(window, f"large-{origin.value}-message-{_key(name)}")
        camera.close(window)
    window, recording = _opened(camera, FakeRecording(leads=STICK_LEADS))
    for name, _ in stick_states(window, recording, camera.settle):
        camera.take(window, f"large-stick-{_key(name)}")
    camera.close(window)
    _large_files(camera)
    apply_theme(camera.app, camera.theme, camera.tokens)


def _large_files(camera) -> None:
    with tempfile.TemporaryDirectory() as made:
        session, capture = Path(made) / "birch.t2h", Path(made) / "bench.vcd"
        made_session(session, "birch", flips=24)
        export(session, capture, to="vcd")
        window = camera.window()
        window.open_path(capture)
        while not window.pages.capture.rows:
            camera.settle(window)
        camera.take(window, "large-capture")
        window.open_path(session)
        while window.step is not Step.FINDINGS:
            camera.settle(window)
        camera.take(window, "large-findings")
        scroll = window.pages.findings.scroller.verticalScrollBar()
        for number in (1, 2):
            scroll.setValue(number * 480)
            camera.take(window, f"large-findings-down-{number}")
        camera.close(window)


def _opened(camera, recording):
    window = camera.window(recording)
    window.practise("alder")
    while window.workbench.status is None:
        camera.settle(window)
    return window, recording


def _key(name: str) -> str:
    return "-".join(name.replace(",", "").split())
