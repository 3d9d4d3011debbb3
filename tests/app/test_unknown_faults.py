"""A fault nobody foresaw, in a slot, in a paint and in a thread: said once, and the program goes on."""

import os
import subprocess
import sys

CODE = """
import sys, threading
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QWidget
from benchapp.app.window_program import WindowProgram

class Broken(QWidget):
    def paintEvent(self, event):
        raise RuntimeError("nobody foresaw this paint")

program = WindowProgram(None)
window = program.window

def fail():
    raise RuntimeError("nobody foresaw this")

broken = Broken(window)
broken.resize(40, 40)

def break_all():
    broken.show()
    thread = threading.Thread(target=fail)
    thread.start()
    thread.join()
    QTimer.singleShot(0, fail)
    QTimer.singleShot(900, tell)

def tell():
    broken.hide()
    print("shown:", window.banner.title.text(), "|", window.banner.isVisible())
    window.banner.close_button.click()
    QTimer.singleShot(0, fail)
    QTimer.singleShot(900, again)

def again():
    print("again:", window.banner.isVisible(), "alive:", window.isVisible())
    window.close()

QTimer.singleShot(100, break_all)
program._import_plots = lambda: None
sys.exit(program.run())
"""


def test_faults_in_a_slot_a_paint_and_a_thread_are_one_banner_and_the_program_goes_on(tmp_path):
    places = {f"XDG_{name}_HOME": str(tmp_path / name.lower()) for name in ("CONFIG", "DATA", "STATE", "CACHE")}
    environment = os.environ | places | {"QT_QPA_PLATFORM": "offscreen"}
    done = subprocess.run(
        [sys.executable, "-c", CODE], env=environment, capture_output=True, text=True, check=False, timeout=60
    )
    assert done.returncode == 0, done.stderr
    lines = done.stdout.splitlines()
    assert lines == [
        "shown: Something happened that this program did not expect | True",
        "again: False alive: True",
    ]
    log = (tmp_path / "state" / "benchapp" / "benchapp.log").read_text(encoding="utf-8")
    assert log.count("nobody foresaw this") >= 3
    assert (tmp_path / "state" / "benchapp" / "crash.txt").read_text(encoding="utf-8") == ""
