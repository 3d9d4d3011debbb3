"""A recording: the conductor and the writer, whole before their threads start."""

import threading
from collections.abc import Callable
from dataclasses import replace

from benchapp.acquisition.clocks import HostClocks, SystemClocks
from benchapp.acquisition.conductor import Conductor
from benchapp.acquisition.feed import Feed
from benchapp.acquisition.session_log import SessionLog
from benchapp.acquisition.status import Status
from benchapp.acquisition.wishes import Wish
from benchapp.acquisition.writer import SessionStart, Store, Writer
from benchapp.probe.link import Link
from benchapp.records.errors import BenchError
from benchapp.records.leads import Stretch
from benchapp.sessions.store import SessionWriter


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

    Made whole first; start() starts its two threads, close() ends them, in this order: the conductor stops reading,
    lets go of the port, tells the writer, and is joined. Nothing acknowledged is ever lost by closing.
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
        log = SessionLog(self._writer, draw, software)
        self.feed = Feed()
        self._conductor = Conductor(
            open_link,
            self._writer,
            log,
            self.feed if watched else None,
            clocks=self._clocks,
            patient=patient,
            describe=describe,
        )
        self._thread = threading.Thread(target=self._conductor.run, name="conductor")

    @property
    def failure(self) -> BenchError | None:
        """What ended the recording, None while it goes on or when nothing went wrong."""
        return self._conductor.failure

    @property
    def evidence_hash(self) -> str:
        """The evidence hash of the last session that was closed, "" before."""
        return self._writer.evidence_hash

    def start(self) -> None:
        """Start the threads; wishes made before are carried out first."""
        self._writer.start()
        self._thread.start()

    def wait_until_open(self, timeout_s: float | None = None) -> bool:
        """Return whether the first stretch has opened, or the recording failed, within the time."""
        return self._conductor.opened.wait(timeout_s)

    def wait_until_finished(self, timeout_s: float | None = None) -> bool:
        """Return whether the recording has ended by itself, or been closed, within the time."""
        return self._conductor.finished.wait(timeout_s)

    def status(self) -> Status:
        """Return how things are at this moment; from any thread."""
        snapshot, saved = self._conductor.snapshot, self._writer.saved
        if saved is None:
            return snapshot
        ago_s = max(0, self._clocks.monotonic_ns() - saved.at_ns) / 1e9
        return replace(snapshot, saved_ago_s=ago_s, saved_records=saved.records, saved_run=saved.run)

    def wish(self, wish: Wish) -> None:
        """Ask for something; from any thread. The answer shows in the status."""
        self._conductor.wish(wish)

    def close(self) -> None:
        """Stop, keep everything, and come back when the threads have ended. Closing twice is harmless."""
        self._conductor.stopping.set()
        if self._thread.ident is not None:
            self._thread.join()
