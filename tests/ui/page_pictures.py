"""Pictures of what lies beside the usual way: the photo, adding to the description, every page of help, the trash."""

import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

from PySide6.QtTest import QTest

from benchapp.desk.noting import note_bench
from benchapp.desk.trash import Discarded
from benchapp.records.photo import PHOTO, photo_text
from benchapp.ui.kept.steps import Step
from benchapp.ui.screens.bench.photo_file import read_photo
from benchapp.ui.screens.help.contents import PAGES
from benchapp.ui.widgets.page_scroll import PageScroll
from tests.ui.made_sessions import made_session
from tests.ui.visits import install_states, probe_test_states

_SCREEN_PX = 480
_LOOKED_AROUND_MS = 100


def page_pictures(camera) -> None:
    """The bench's page all the way down with a photo on it, a session with one, its description; help; the trash."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        window = camera.window()
        photo = folder / "bench.png"
        window.grab().save(str(photo))
        window.go(Step.BENCH)
        window.pages.bench.form.photo.take(photo)
        while window.pages.bench.form.photo.busy:
            QTest.qWait(_LOOKED_AROUND_MS)
        down(camera, window, window.pages.bench.scroller, "bench-photo")
        window.go(Step.START)
        QTest.qWait(_LOOKED_AROUND_MS)
        while window.bridge.busy:  # the real trash is looked into once the window is shown
            camera.settle(window)
        window.start.show_trash(_discarded(folder))
        camera.take(window, "start-trash-offered")
        window.start.trash_button.click()
        camera.take(window, "start-trash")
        camera.close(window)
        _described_session(camera, folder, photo)
    help_pictures(camera)
    install_pictures(camera)
    probe_test_pictures(camera)


def install_pictures(camera) -> None:
    """Every state of the page that puts the probe program on a board."""
    window = camera.window()
    for name, _page in install_states(window, camera.settle):
        camera.take(window, name.replace(", ", "-").replace(" ", "-"))
    camera.close(window)


def probe_test_pictures(camera) -> None:
    """Every state of the page that tests a probe."""
    window = camera.window()
    for name, _page in probe_test_states(window, camera.settle):
        camera.take(window, name.replace(", ", "-").replace(" ", "-"))
    camera.close(window)


def _described_session(camera, folder, photo) -> None:
    session = made_session(folder / "birch.t2h", "birch", flips=24)
    note_bench(session, {PHOTO: photo_text(read_photo(photo).jpeg), "servo": "standard, analog"})
    window = camera.window()
    window.open_path(session)
    while window.session.now is None:
        camera.settle(window)
    down(camera, window, window.pages.findings.scroller, "findings-photo")
    window.pages.findings.describe_button.click()
    down(camera, window, window.pages.findings.description.findChild(PageScroll), "describe")
    camera.close(window)


def help_pictures(camera) -> None:
    """Every page of help, each all the way down."""
    window = camera.window()
    for page in PAGES:
        if wanted(camera, f"help-{page}"):
            window.interior.navigator.show_help_page(page)
            down(camera, window, window.pages.help.browser, f"help-{page}")
    camera.close(window)


def down(camera, window, scroller, name) -> None:
    """Take what a scroller shows from its top to its end."""
    if not wanted(camera, name):
        return
    camera.settle(window)
    bar, number = scroller.verticalScrollBar(), 0
    bar.setValue(0)
    camera.take(window, name)
    while bar.value() < bar.maximum():
        number += 1
        bar.setValue(number * _SCREEN_PX)
        camera.take(window, f"{name}-down-{number:02d}")


def wanted(camera, name) -> bool:
    """Return whether any of the pictures under a name was asked for."""
    return not camera.wanted or any(word in name or name in word for word in camera.wanted)


def _discarded(folder):
    now = datetime.now(UTC)
    names = ("Cedar, far corner", "Birch with the club's module")
    stamps = ((now - timedelta(days=number)).strftime("%Y%m%dT%H%M%S%f") for number in range(len(names)))
    return [
        Discarded(path=folder / f"{name}.t2h", folder=folder / stamp, name=name)
        for name, stamp in zip(names, stamps, strict=True)
    ]
