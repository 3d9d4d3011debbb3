"""The program as a file manager starts it: with the file that was double-clicked."""

import os
import subprocess
import sys

from tests.ui.made_sessions import made_session

CODE = """
import sys
from PySide6.QtCore import QTimer
from benchapp.app import main, window_program

def look(program):
    window = program.window
    if window.session.now is None:
        return
    program.watch.stop()
    print(window.session.now.path.name, window.step.key)
    print(program.app.desktopFileName(), program.app.windowIcon().isNull())
    program.window.close()

class Watched(window_program.WindowProgram):
    def run(self):
        self.watch = QTimer(self)
        self.watch.timeout.connect(lambda: look(self))
        self.watch.start(700)
        return super().run()

window_program.WindowProgram = Watched
from benchapp.__main__ import run
sys.exit(run(sys.argv[1:]))
"""


def test_a_session_named_in_the_call_is_opened_in_the_window_and_the_window_has_its_icon(tmp_path):
    session = made_session(tmp_path / "Birch 7, first evening.t2h", "birch", flips=8)
    places = {f"XDG_{name}_HOME": str(tmp_path / name.lower()) for name in ("CONFIG", "DATA", "STATE", "CACHE")}
    done = subprocess.run(
        [sys.executable, "-c", CODE, str(session)],
        env=os.environ | places | {"QT_QPA_PLATFORM": "offscreen"},
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines() == ["Birch 7, first evening.t2h findings", "benchapp False"]
