"""The session on screen: read from its file, described, reported."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal, Slot

from benchapp import desk
from benchapp.acquisition.wishes import Describe
from benchapp.presentation.ground.human_ruler import Flight
from benchapp.presentation.ground.messages import message_for
from benchapp.presentation.ground.page import Page
from benchapp.presentation.screens.shelf_words import not_writable_message
from benchapp.records.errors import DiskTrouble
from benchapp.ui.kept.session_names import free_report_folder
from benchapp.ui.link.bridge import LONGEST_WAIT_S, Bridge
from benchapp.ui.link.workbench import Workbench

if TYPE_CHECKING:
    from benchapp.desk.loading import Loaded


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class ReadSession:
    """A session that was read: its file, what it holds with its findings, and the page that shows it."""

    path: Path
    loaded: "Loaded"
    page: Page


class OpenSession(QObject):
    """Reads sessions one at a time (`now` is the one on screen), adds to their description, writes their report.

    A session that a bench is still closing is read once it is closed.
    """

    opened = Signal(object)
    left = Signal()
    refused = Signal(object, object)
    described = Signal()
    not_writable = Signal(object, object)
    report_written = Signal(object)
    trouble = Signal(object)

    def __init__(self, bridge: Bridge, workbench: Workbench, parent: QObject) -> None:
        super().__init__(parent)
        self._bridge = bridge
        self._workbench = workbench
        self._with_photo = True
        self.flight = Flight()
        self.now: ReadSession | None = None
        workbench.opened.connect(self._bench_opened)
        workbench.run_saved.connect(self.open)

    @Slot()
    def _bench_opened(self) -> None:
        self.now = None

    @Slot(object)
    def open(self, path: Path) -> None:
        """Read a session file and make its findings."""
        self._submit(path, partial(_read_file, path), done=self._read, failed=partial(self._refused, path))

    @Slot(object)
    def leave(self, path: Path) -> None:
        """Take a session that was deleted off the screen; any other stays."""
        if self.now is not None and self.now.path.absolute() == path.absolute():
            self.now = None
            self.left.emit()

    def describe(self, fields: Mapping[str, str]) -> None:
        """Add fields of what is under test to the session on screen and read it again; its evidence stays as it was."""
        if self.now is None or not fields:
            return
        path, status = self.now.path, self._workbench.status
        if status is not None and status.session == str(path):
            self._workbench.wish(Describe(bench=fields))
            self.described.emit()
            return
        work = partial(_noted, path, fields)
        self._submit(path, work, done=self._described, failed=partial(self._not_described, fields))

    def describe_copy(self, folder: Path, fields: Mapping[str, str]) -> None:
        """Copy the session on screen into a folder, add the fields to the copy and show that."""
        if self.now is not None:
            path = self.now.path
            self._submit(path, partial(_noted_copy, path, folder, fields), done=self._described, failed=self._failed)

    def choose_photo(self, *, wanted: bool) -> None:
        """Take whether the photo of the bench, where there is one, goes into the report."""
        self._with_photo = wanted

    def choose_flight(self, flight: Flight) -> None:
        """Take what the human ruler of the report is drawn for."""
        self.flight = flight

    def write_report(self, folder: Path) -> None:
        """Write the report of the session on screen into a folder that is new or empty."""
        self._write_report(lambda _session: folder)

    def write_report_in(self, folder: Path) -> None:
        """Write the report of the session on screen into a new folder inside this one."""
        self._write_report(partial(free_report_folder, folder))

    def _write_report(self, place: Callable[[Path], Path]) -> None:
        if self.now is not None:
            path = self.now.path
            work = partial(_reported, path, place, photo=self._with_photo, flight=self.flight)
            self._submit(path, work, done=self.report_written.emit, failed=self._failed)

    def _submit(
        self,
        path: Path,
        work: Callable[[], Any],
        *,
        done: Callable[[Any], None],
        failed: Callable[[BaseException], None],
    ) -> None:
        self._bridge.submit(
            self._workbench.after_leaving(path, work),
            done=done,
            failed=failed,
            what=str(path),
            said_after_s=LONGEST_WAIT_S,
        )

    def _read(self, session: ReadSession) -> None:
        self.now = session
        self.opened.emit(session)

    def _refused(self, path: Path, error: BaseException) -> None:
        self.refused.emit(path, message_for(error))
        self._failed(error)

    def _described(self, session: ReadSession) -> None:
        self.now = session
        self.described.emit()
        self.opened.emit(session)

    def _not_described(self, fields: Mapping[str, str], error: BaseException) -> None:
        if isinstance(error, DiskTrouble):
            self.not_writable.emit(not_writable_message(message_for(error).details), fields)
        else:
            self._failed(error)

    def _failed(self, error: BaseException) -> None:
        self.trouble.emit(message_for(error))


# What follows is done on a worker, so it makes values only.


def _read_file(path: Path) -> ReadSession:
    """Return a session read and reduced, with its page. Raises as `desk.loading.load`."""
    loaded = desk.loading.load(path)
    return ReadSession(path=path, loaded=loaded, page=desk.findings.page_of(loaded))


def _noted(path: Path, fields: Mapping[str, str]) -> ReadSession:
    """Note the fields and read the session again."""
    desk.noting.note_bench(path, fields)
    return _read_file(path)


def _noted_copy(path: Path, folder: Path, fields: Mapping[str, str]) -> ReadSession:
    """Copy the session, note the fields in the copy and read that."""
    return _noted(desk.copying.copy_session(path, folder), fields)


def _reported(path: Path, place: Callable[[Path], Path], *, photo: bool, flight: Flight) -> Path:
    """Write the report and return its folder."""
    folder = place(path)
    desk.reporting.write_report(path, folder, photo=photo, flight=flight)
    return folder
