"""From the start of the process to the window's first paint, beside an empty Qt window with pyqtgraph imported."""

import os
import statistics
import subprocess
import sys
import time

ROUNDS = 7

# Both tell the time once the window has been painted, before anything else is done.
UNTIL_PAINTED = """
import time
from PySide6.QtCore import QEvent, QObject, QTimer
def tell():
    print(time.time(), flush=True)
    app.quit()
class Watch(QObject):
    def eventFilter(self, watched, event):
        if watched is window and event.type() is QEvent.Type.Paint:
            QTimer.singleShot(0, tell)
        return False
watch = Watch()
window.installEventFilter(watch)
window.show()
app.exec()
"""
EMPTY = (
    """
import sys
import pyqtgraph
from PySide6.QtWidgets import QApplication, QMainWindow
app = QApplication(sys.argv)
window = QMainWindow()
window.resize(1280, 720)
"""
    + UNTIL_PAINTED
)
PROGRAM = """
from benchapp.app import window_program
program = window_program.WindowProgram(None)
app, window = program.app, program.window
"""
OURS = PROGRAM + UNTIL_PAINTED + "window.close()"
# every page made as well, which is what the window goes on with
WHOLE = PROGRAM + UNTIL_PAINTED + "window.pages\nprint(time.time())\nwindow.close()"


def start_s(code: str, home) -> float:
    environment = {**os.environ, "QT_QPA_PLATFORM": "offscreen", "XDG_CONFIG_HOME": str(home)}
    environment |= {"XDG_DATA_HOME": str(home), "XDG_STATE_HOME": str(home)}
    # An installed program is compiled once; what pip installs of the other side is as well.
    environment |= {"PYTHONPYCACHEPREFIX": str(home / "compiled")}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    began = time.time()
    done = subprocess.run([sys.executable, "-c", code], check=True, env=environment, capture_output=True, text=True)
    return float(done.stdout.split()[-1]) - began


def test_the_window_is_there_about_as_soon_as_an_empty_one(benchmark, tmp_path):
    for code in (WHOLE, OURS, EMPTY):
        start_s(code, tmp_path)
    pairs = [(start_s(OURS, tmp_path), start_s(EMPTY, tmp_path)) for _ in range(ROUNDS)]
    benchmark.pedantic(start_s, args=(OURS, tmp_path), rounds=1)
    whole = statistics.median(start_s(WHOLE, tmp_path) for _ in range(ROUNDS))
    ours, empty = (statistics.median(times) for times in zip(*pairs, strict=True))
    ratio = statistics.median(one / other for one, other in pairs)
    print(f"\n| start to first paint | {ours:.2f} s against {empty:.2f} s, {ratio:.2f} x an empty window (1.3 asked) |")
    print(f"| start until every page is made | {whole:.2f} s |")
    assert ratio < 1.3
