"""Puts the settings in force: at once, everywhere, and from now on."""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, Slot
from PySide6.QtWidgets import QApplication, QWidget

from benchapp.acquisition.wishes import StartRun
from benchapp.ui.kept.memory import Memory
from benchapp.ui.kept.settings import noted_last, session_folder
from benchapp.ui.link.workbench import Workbench
from benchapp.ui.look.theme import Theme, apply_theme, wished_tokens
from benchapp.ui.window.file_choice import folder_for
from benchapp.ui.window.pages import Pages


class Preferences(QObject):
    """Takes what is chosen on the settings page and on Start, and keeps from a run how it was started."""

    def __init__(self, memory: Memory, theme: Theme, pages: Pages, workbench: Workbench, window: QWidget) -> None:
        super().__init__(window)
        self._memory = memory
        self._theme = theme
        self._pages = pages
        self._workbench = workbench
        self._window = window

    def folder(self) -> Path:
        """Return the folder new sessions are written to."""
        return session_folder(self._memory.now)

    @Slot(object)
    def change(self, values: Mapping[str, Any]) -> None:
        """Put settings in force by their names, at once and from now on; all others stay as they are by now."""
        before = self._memory.now
        self._memory.change(**values)
        now = self._memory.now
        if (now.theme, now.text_percent) != (before.theme, before.text_percent):
            self._apply_look()
        self.show()

    @Slot(str)
    def change_look(self, look: str) -> None:
        """Give the window another look, at once and from now on."""
        self.change({"theme": look})

    @Slot(int)
    def keep_speed(self, metres_a_second: int) -> None:
        """Remember the model's speed that the human ruler is drawn for."""
        self._memory.change(speed_m_per_s=metres_a_second)

    def _apply_look(self) -> None:
        app, settings = QApplication.instance(), self._memory.now
        if isinstance(app, QApplication):
            apply_theme(app, self._theme, wished_tokens(settings.theme), text_percent=settings.text_percent)

    @Slot()
    def ask_folder(self) -> None:
        """Let the folder for new sessions be chosen."""
        chosen = folder_for(self._window, "Where shall sessions be kept?", self.folder())
        if chosen is not None:
            self._memory.change(session_folder=str(chosen))
            self.show()

    @Slot(object)
    def remember_run(self, wish: StartRun) -> None:
        """Remember how a run was started and what was on the bench, for the next time."""
        self._memory.change(sounds=self._pages.tests.run.sounds, test=wish.test)
        if wish.settings.flips:
            self._memory.change(flips=wish.settings.flips, bench_flips=wish.phase_stepped)
        if self._workbench.under_test:
            self._memory.change(last_bench=json.dumps(dict(self._workbench.under_test)))
        self._pages.bench.show_last(noted_last(self._memory.now))

    def show(self) -> None:
        """Show the settings in force on every page: settings page, Start, bench, tests and leads."""
        settings, pages = self._memory.now, self._pages
        pages.settings.show_settings(settings)
        pages.start.show_folder(str(self.folder()))
        pages.bench.show_last(noted_last(settings))
        pages.tests.choice.sounds.setChecked(settings.sounds)
        pages.tests.run.use_sounds(wanted=settings.sounds)
        pages.tests.run.use_single_keys(settings.single_keys)
        for key in pages.leads.single_keys:
            key.setEnabled(settings.single_keys)
