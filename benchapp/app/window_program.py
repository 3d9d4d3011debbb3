"""The running program: application, theme, window, crash hooks, collector."""

import importlib
import logging
import sys
from pathlib import Path

from PySide6.QtCore import QLocale, QObject, QTimer, Slot
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QApplication

from benchapp.app.bug_details import bug_details
from benchapp.app.cycle_collector import CycleCollector
from benchapp.app.display_watch import DisplayWatch
from benchapp.app.fault_net import FaultNet
from benchapp.app.log_file import log_folder, start_log, stop_log
from benchapp.assets import resource
from benchapp.presentation.ground.messages import message_for
from benchapp.presentation.ground.numbers import use_decimal_mark
from benchapp.ui.kept.settings import SettingsStore
from benchapp.ui.look.theme import Theme, begin_theme, use_style_sheet, wished_tokens
from benchapp.ui.widgets.clipboard import close_clipboard
from benchapp.ui.window.main_window import MainWindow

_LOG = logging.getLogger(__name__)
_LOOK_EVERY_MS = 250
_BEFORE_HEAVY_IMPORTS_MS = 200


def system_mark() -> str:
    """Return the system's decimal mark: a comma, or else a point."""
    return "," if QLocale.system().decimalPoint() == "," else "."


class WindowProgram(QObject):
    """Owns everything from the first paint to the last thread."""

    def __init__(self, session: Path | None, *, bench: str = "") -> None:
        found = QApplication.instance()
        self.app = found if isinstance(found, QApplication) else QApplication(sys.argv[:1])
        super().__init__()
        self.app.setApplicationName("benchapp")
        self.app.setApplicationDisplayName("Thumb to Horn")
        self.app.setDesktopFileName("benchapp")
        use_decimal_mark(system_mark())
        self._log = start_log()
        self._faults = FaultNet()
        self._faults.install(log_folder() / "crash.txt")
        self._collector = CycleCollector(self)
        store = SettingsStore()
        self.theme = Theme(parent=self)
        settings = store.load()
        tokens = wished_tokens(settings.theme)
        begin_theme(self.app, self.theme, tokens, text_percent=settings.text_percent)
        self.window = MainWindow(self.theme, store, bug_details=bug_details)
        use_style_sheet(self.app, tokens)
        self.app.setQuitOnLastWindowClosed(False)  # a hidden window may still be closing a session
        self.window.bridge.ended.connect(self.app.quit)
        self._display = DisplayWatch(self.window.bridge.keep_all)
        self._session = session
        self._bench = bench
        self._closing = False
        self._timer = QTimer(self)
        self._timer.setInterval(_LOOK_EVERY_MS)
        self._timer.timeout.connect(self._look)

    def run(self) -> int:
        """Show the window and come back when it is closed."""
        self._display.begin()
        self.window.show()
        self._timer.start()
        QTimer.singleShot(0, self._open_first)
        QTimer.singleShot(_BEFORE_HEAVY_IMPORTS_MS, self._import_plots)
        status = self.app.exec()
        self._display.end()
        close_clipboard()
        self._timer.stop()
        self._collector.stop()
        self._faults.remove()
        stop_log(self._log)
        return int(status)

    def ask_to_close(self) -> None:
        """Close at the next look; safe to call from a signal handler."""
        self._closing = True

    @Slot()
    def _open_first(self) -> None:
        if self._session is not None:
            self.window.open_path(self._session)
        elif self._bench:
            self.window.connect_port(self._bench)

    @Slot()
    def _import_plots(self) -> None:
        # half a second, and a drawing to read, that the first paint need not wait for
        self.app.setWindowIcon(QIcon(str(resource("menu/benchapp.svg"))))
        importlib.import_module("benchapp.ui.screens.findings.dot_plot")

    @Slot()
    def _look(self) -> None:
        if self._closing:
            self.window.close()
        fault = self._faults.take()
        if fault is not None:
            self.window.show_trouble(message_for(fault))
