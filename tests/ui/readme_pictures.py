"""Makes the two pictures of the README on the practice bench: python -m tests.ui.readme_pictures

A run of flips half-way through, as the window shows it, and the first sheet of a sample session's report.
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
from PySide6.QtCore import QEventLoop, Qt
from PySide6.QtGui import QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from benchapp.ui.kept.settings import SettingsStore
from benchapp.ui.kept.steps import Step
from benchapp.ui.look.theme import Theme, apply_theme
from benchapp.ui.look.tokens import LIGHT
from benchapp.ui.window.main_window import MainWindow
from tests.ui.fake_bench import bug_details, real_desk

ROOT = Path(__file__).parents[2]
PLACE = ROOT / "resources" / "pictures"
SAMPLE = ROOT / "sample_sessions" / "birch-module.t2h"
FLIPS = 23
RUN_WIDTH, SHEET_WIDTH = 960, 620


def wait_for(app: QApplication, there) -> None:
    """Let the window live until something is there."""
    for _ in range(4_000):
        if there():
            return
        app.processEvents(QEventLoop.ProcessEventsFlag.AllEvents, 10)
        QTest.qWait(5)
    raise SystemExit("what was waited for never came")


def run_page(app: QApplication, folder: Path) -> QImage:
    """Return the run page after so many flips by hand, the last one held."""
    theme = Theme()
    apply_theme(app, theme, LIGHT)
    window = MainWindow(theme, SettingsStore(folder / "settings.ini"), bug_details=bug_details)
    window.resize(1280, 720)
    window.show()
    window.activateWindow()
    bench = window.workbench
    window.practise("alder")
    wait_for(app, lambda: bench.status is not None)
    wait_for(app, lambda: window.pages.leads.lanes.rows)
    bench.confirm("practice", yes=True)
    window.go(Step.TESTS)
    wait_for(app, window.pages.tests.choice.start_button.isEnabled)
    window.pages.tests.choice.start_button.click()
    wait_for(app, lambda: bench.running)
    run = window.pages.tests.run
    while bench.status.run.flips < FLIPS:
        seen = bench.status.run.flips
        if run.prompt.text() in ("Flip now", "Flip to start"):
            QTest.keyClick(run.switch, Qt.Key.Key_Space)
            wait_for(app, lambda seen=seen: bench.status.run.flips > seen)
        QTest.qWait(310 + 37 * (seen % 7))
    QTest.qWait(600)
    image = window.grab().toImage()
    window.close()
    wait_for(app, lambda: window.bridge.gone)
    return image


def first_sheet(folder: Path) -> QImage:
    """Return the first sheet of the sample's report."""
    report = folder / "report"
    subprocess.run([sys.executable, "-m", "benchapp", "report", SAMPLE, "--out", report], check=True, cwd=ROOT)
    page = folder / "page"
    subprocess.run(["pdftoppm", "-r", "110", "-png", "-l", "1", "-singlefile", report / "report.pdf", page], check=True)
    return QImage(str(page.with_suffix(".png")))


def main() -> None:
    """Write both pictures, small."""
    app = QApplication.instance() or QApplication(sys.argv[:1])
    PLACE.mkdir(exist_ok=True)
    smooth = Qt.TransformationMode.SmoothTransformation
    with tempfile.TemporaryDirectory() as own, pytest.MonkeyPatch.context() as patch:
        for place, function in real_desk().items():
            patch.setattr(place, function)
        patch.setenv("HOME", own)
        for name, image, width in (
            ("run-page", run_page(app, Path(own)), RUN_WIDTH),
            ("report-first-sheet", first_sheet(Path(own)), SHEET_WIDTH),
        ):
            small = image.scaledToWidth(width, smooth).convertToFormat(QImage.Format.Format_RGB888)
            small.save(str(PLACE / f"{name}.png"))


if __name__ == "__main__":
    main()
