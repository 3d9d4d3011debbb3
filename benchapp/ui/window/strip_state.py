"""Keeps the strip's words true: no probe, the bench that is open, or the session on screen."""

from PySide6.QtCore import QObject, Slot

from benchapp.acquisition.status import Status
from benchapp.acquisition.wishes import CloseSession
from benchapp.presentation.live.strip_words import LOOKING, NO_PROBE, refused_words, saved_session_words, strip_words
from benchapp.ui.link.open_session import OpenSession, ReadSession
from benchapp.ui.link.workbench import Workbench
from benchapp.ui.widgets.strip import Strip


class StripState(QObject):
    """Writes into the strip how the probe and the saving are, whenever the bench or the session on screen changes."""

    def __init__(self, strip: Strip, workbench: Workbench, session: OpenSession, parent: QObject) -> None:
        super().__init__(parent)
        self._strip = strip
        self._workbench = workbench
        self._ended = False
        strip.end_session.clicked.connect(self._end_session)
        workbench.opened.connect(self._forget)
        workbench.opening.connect(self._show_looking)
        workbench.refused.connect(self._show_refused)
        workbench.closed.connect(self._show_none)
        session.left.connect(self._show_left)
        workbench.status_changed.connect(self._show_status)

    @Slot()
    def _show_none(self) -> None:
        self._strip.show_words(NO_PROBE)

    @Slot()
    def _show_left(self) -> None:
        if self._workbench.status is None:
            self._show_none()

    @Slot()
    def _show_looking(self) -> None:
        self._strip.show_words(LOOKING)

    @Slot(str, str)
    def _show_refused(self, port: str, link: str) -> None:
        self._strip.show_words(refused_words(port, link))

    @Slot()
    def _forget(self) -> None:
        self._ended = False

    @Slot()
    def _end_session(self) -> None:
        """End the session that is recorded; a run that goes on is never ended here."""
        if not self._workbench.running:
            self._workbench.wish(CloseSession())
            self._ended = True

    @Slot(object)
    def _show_status(self, status: Status) -> None:
        if status.session and self._workbench.running:
            self._ended = False
        self._strip.show_words(
            strip_words(
                status.link.value,
                probe=status.probe,
                origin=status.origin,
                recorded_s=status.recorded_s,
                saved_ago_s=status.saved_ago_s,
                missed=status.missed,
                disk_silent_s=status.disk_silent_s,
                saved_records=status.saved_records,
                can_end=bool(status.session) and not self._workbench.running and not self._ended,
                ended=self._ended and not status.session,
            )
        )

    def show_session(self, session: ReadSession) -> None:
        """Say that a session opened from its file is on screen."""
        facts = session.loaded.facts
        self._strip.show_words(saved_session_words(facts.name, origin=facts.origin))
