"""A recording: the conductor and the writer, whole before their threads start."""

import threading
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from benchapp.acquisition.clocks import HostClocks, SystemClocks
from benchapp.acquisition.conductor import Conductor
from benchapp.acquisition.feed import Feed
from benchapp.acquisition.figures import FigureThread
from benchapp.acquisition.session_log import SessionLog
from benchapp.acquisition.status import Status
from benchapp.acquisition.wishes import Wish
from benchapp.acquisition.writer import SAID_AFTER_NS, SessionStart, Store, Writer
from benchapp.probe.link import Link
from benchapp.records.errors import BenchError, DiskTrouble, PortGone
from benchapp.records.leads import Stretch
from benchapp.sessions.store import SessionWriter

LONGEST_CLOSE_S = 20.0
"""Closing takes no longer: what hangs until then is left behind."""


def create_session(start: SessionStart) -> Store:
    """Return the writer of a new session file. Raises the BenchError that stood in the way."""
    return SessionWriter.create(
        start.path,
        origin=start.origin,
        software=start.software,
        started=start.started,
        name=start.name,
        force=start.force,
    )


class Recording:
    """Reads a probe or the practice bench, records when asked to, and runs tests.

    Made whole first; start() starts its two threads (the first run starts a third, for its figures), close() ends
    them, in this order: the conductor stops reading, lets go of the port, tells the writer, and is joined. Nothing
    acknowledged is ever lost by closing, and no call waits without limit: a port or a disk that hangs is left behind
    and said.
    """

    def __init__(
        self,
        open_link: Callable[[], Link],
        *,
        software: str,
        draw: Callable[[], float],
        patient: bool = True,
        watched: bool = True,
        clocks: HostClocks | None = None,
        create: Callable[[SessionStart], Store] = create_session,
        describe: Callable[[Stretch], Stretch] = lambda stretch: stretch,
    ) -> None:
        """Make a recording that will open its link in its own thread.

        draw gives random numbers in [0, 1) for flips the probe makes itself. patient: after a loss, wait for the
        probe to come back. watched: fill the feed for a window. describe adds what is known of a probe's leads besides
        what they say themselves.
        """
        self._clocks = clocks or SystemClocks()
        self._writer = Writer(create, self._clocks)
        figures = FigureThread()
        log = SessionLog(self._writer, draw, software, figures)
        self.feed = Feed()
        self._conductor = Conductor(
            open_link,
            self._writer,
            log,
            self.feed if watched else None,
            figures,
            clocks=self._clocks,
            patient=patient,
            describe=describe,
        )
        self._left: BenchError | None = None
        # a daemon: a port that never comes back must not keep the program from ending
        self._thread = threading.Thread(target=self._conductor.run, name="conductor", daemon=True)

    @property
    def failure(self) -> BenchError | None:
        """What ended the recording, None while it goes on or when nothing went wrong."""
        return self._conductor.failure or self._left

    @property
    def evidence_hash(self) -> str:
        """The evidence hash of the last session that was closed, "" before."""
        return self._writer.evidence_hash

    @property
    def moved_to(self) -> Path | None:
        """The file the session goes on in, or went on in, where its own was taken away; else None."""
        return self._writer.moved_to

    def start(self) -> None:
        """Start the threads; wishes made before are carried out first."""
        self._writer.start()
        self._thread.start()

    def wait_until_open(self, timeout_s: float) -> bool:
        """Return whether the first stretch has opened, or the recording failed, within the time."""
        return self._conductor.opened.wait(timeout_s)

    def wait_until_finished(self, timeout_s: float) -> bool:
        """Return whether the recording has ended by itself, or been closed, within the time."""
        return self._conductor.finished.wait(timeout_s)

    def check_alive(self, longest_s: float) -> None:
        """Raise what hangs, where the thread that reads has not come back for so long."""
        if not self._conductor.finished.is_set() and self._still_s() > longest_s:
            raise self._hanging(longest_s)

    def status(self) -> Status:
        """Return how things are at this moment; from any thread."""
        snapshot, saved, silent_ns = self._conductor.snapshot, self._writer.saved, self._writer.silent_ns
        if silent_ns >= SAID_AFTER_NS:
            snapshot = replace(snapshot, disk_silent_s=silent_ns / 1e9)
        if saved is None:
            return snapshot
        ago_s = max(0, self._clocks.monotonic_ns() - saved.at_ns) / 1e9
        return replace(snapshot, saved_ago_s=ago_s, saved_records=saved.records, saved_run=saved.run)

    def wish(self, wish: Wish) -> None:
        """Ask for something; from any thread. The answer shows in the status."""
        self._conductor.wish(wish)

    def close(self, longest_s: float = LONGEST_CLOSE_S) -> None:
        """Stop, keep everything, and come back when the threads have ended, or once that took too long.

        What still hangs then is the failure. Closing twice is harmless.
        """
        self._conductor.stopping.set()
        if self._thread.ident is None or self._left is not None:
            return
        self._thread.join(longest_s)
        if self._thread.is_alive():
            self._left = self._hanging(longest_s)

    def _still_s(self) -> float:
        return (self._clocks.monotonic_ns() - self._conductor.stepped_ns) / 1e9

    def _hanging(self, waited_s: float) -> BenchError:
        """Return the trouble that something did not come back: the disk where it is asked, else the port."""
        kept = "What was saved up to then is kept."
        if self._writer.silent_ns >= SAID_AFTER_NS:
            return DiskTrouble(
                f"The disk did not answer for {waited_s:g} s. Choose a folder on another disk.", kept=kept
            )
        name = self._conductor.snapshot.probe or "The port"
        return PortGone(f"{name} did not come back for {waited_s:g} s. Unplug it and plug it in again.", kept=kept)
