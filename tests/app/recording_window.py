"""The whole program with a run on the practice bench; says on stdout when something of it is saved.

Called with the path of the session.
"""

import sys
from pathlib import Path

from PySide6.QtCore import QTimer

from benchapp.acquisition.wishes import Confirm, NewSession, StartRun
from benchapp.app import main, window_program

usual = window_program.WindowProgram


class Recording(usual):
    """The program, in which somebody starts a run as soon as there is a bench."""

    def __init__(self, session, *, bench):
        super().__init__(session, bench=bench)
        self.asked = self.told = False
        self.watch = QTimer()
        self.watch.timeout.connect(self.look)
        self.watch.start(50)

    def look(self):
        bench = self.window.workbench
        if bench.status is None:
            return
        if not self.asked:
            self.asked = True
            for wish in (Confirm(line="practice"), NewSession(path=Path(sys.argv[1]), name="a run"), StartRun()):
                bench.wish(wish)
        if bench.status.saved_records > 20 and not self.told:
            self.told = True
            print("saved", flush=True)


window_program.WindowProgram = Recording
sys.exit(main.run(None, bench="practice://alder?seed=1"))
