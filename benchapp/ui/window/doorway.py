"""Files on their way in and out: opened by a dialog, a drop, a click or a word on the command line; reports written."""

from collections.abc import Mapping
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtWidgets import QWidget

from benchapp.presentation.ground.messages import Message
from benchapp.presentation.screens.report_words import OPEN, SHOW_IN_FOLDER, report_written_message
from benchapp.presentation.screens.shelf_words import RUN_GOES_ON, SAVE_A_COPY
from benchapp.ui.kept.settings import documents_folder
from benchapp.ui.link import other_programs
from benchapp.ui.link.open_session import OpenSession
from benchapp.ui.link.workbench import Workbench
from benchapp.ui.widgets.banner import Act
from benchapp.ui.window.file_choice import file_to_open, folder_for
from benchapp.ui.window.opener import Opener
from benchapp.ui.window.preferences import Preferences


class Doorway(QObject):
    """One way in for every file, however it was chosen; `opening` says in words what is being read.

    A file opened or dropped while a run goes on never ends the run.
    """

    opening = Signal(str)
    trouble = Signal(object)
    said = Signal(object, object)

    def __init__(
        self,
        workbench: Workbench,
        session: OpenSession,
        opener: Opener,
        *,
        preferences: Preferences,
        window: QWidget,
    ) -> None:
        super().__init__(window)
        self._workbench = workbench
        self._session = session
        self._opener = opener
        self._preferences = preferences
        self._window = window
        opener.session_wanted.connect(self.open_session)
        session.report_written.connect(self._show_report)
        session.not_writable.connect(self._offer_copy)

    @Slot()
    def ask(self) -> None:
        """Let a session or capture be chosen, and open it."""
        chosen = file_to_open(self._window, self._preferences.folder())
        if chosen is not None:
            self.open(chosen)

    @Slot(object)
    def open(self, path: Path) -> None:
        """Open a session or a capture; a run that goes on is never ended by it."""
        if self._workbench.running:
            self.trouble.emit(RUN_GOES_ON)
            return
        self._opener.open(path)

    @Slot(object)
    def open_session(self, path: Path) -> None:
        """Open a session file."""
        if self._workbench.running:
            self.trouble.emit(RUN_GOES_ON)
            return
        if self._workbench.status is not None:
            self._workbench.close_bench()  # the bench that is open lets go of its probe first
        self.opening.emit("Reading the session …")
        self._session.open(path)

    @Slot()
    def ask_report(self) -> None:
        """Let a folder be chosen, and write the report into a new folder in it."""
        if self._session.now is None:
            return
        chosen = folder_for(self._window, "Where shall the report go?", documents_folder())
        if chosen is not None:
            self._session.write_report_in(chosen)

    @Slot(object, object)
    def _offer_copy(self, message: Message, fields: Mapping[str, str]) -> None:
        self.said.emit(message, (Act(words=SAVE_A_COPY, do=partial(self._ask_copy, fields)),))

    def _ask_copy(self, fields: Mapping[str, str]) -> None:
        chosen = folder_for(self._window, "Where shall the copy go?", self._preferences.folder())
        if chosen is not None:
            self._session.describe_copy(chosen, fields)

    @Slot(object)
    def _show_report(self, folder: Path) -> None:
        """Show the report, and say where it is, with ways to open it again and to where it lies."""
        other_programs.show_file(folder / "report.html")
        acts = (
            Act(words=OPEN, do=partial(other_programs.show_file, folder / "report.html")),
            Act(words=SHOW_IN_FOLDER, do=partial(other_programs.show_file, folder)),
        )
        self.said.emit(report_written_message(str(folder)), acts)
