"""The only crossing from the data threads into the window: one timer that drains bounded queues."""

import time
from collections.abc import Callable
from concurrent.futures import Future, wait
from contextvars import copy_context
from dataclasses import dataclass
from functools import partial
from typing import Any, Protocol

from PySide6.QtCore import QObject, Qt, QTimer, Signal, Slot

from benchapp.acquisition.feed import Feed
from benchapp.acquisition.status import Status
from benchapp.acquisition.wishes import Wish
from benchapp.ui.link.worker import Worker

FRAME_MS = 33
LONGEST_SHUT_MS = 20_000
"""Closing the program takes no longer: what hangs until then, a disk or a port, is left behind."""
SAID_AFTER_S = 2.0
"""What should come at once, and has not come after this, is said to be waited for."""
LONGEST_WAIT_S = 20.0
"""Work that takes longer is said to be waited for as well, and holds up no other work any more."""
_AT_ONCE_S = 0.1
"""What ends as quickly as this is not shown as something that goes on."""
_IDLE_S = 1.0
_FRAMES_A_TELLING = 8
"""Words change at most four times a second, so that they can be read."""


class BenchRecording(Protocol):
    """What the window needs of a recording; its threads are its own."""

    @property
    def feed(self) -> Feed:
        """The queue of records for the live lanes."""

    @property
    def failure(self) -> BaseException | None:
        """What ended it, None while it goes on or when nothing went wrong."""

    def status(self) -> Status:
        """Return how things are at this moment."""

    def wish(self, wish: Wish) -> None:
        """Ask for something; the answer shows in the status."""

    def close(self) -> None:
        """Stop the threads, keep everything, and come back when that is done."""


@dataclass(kw_only=True, slots=True, eq=False)
class _Job:
    future: Future[Any]
    done: Callable[[Any], None]
    failed: Callable[[BaseException], None]
    worker: Worker
    what: str = ""
    said_after_s: float = LONGEST_WAIT_S
    began_s: float | None = None
    said: bool = False
    passed_by: bool = False


def _nothing(_result: object) -> None:
    pass


def _close(recording: "BenchRecording") -> BaseException | None:
    recording.close()
    return recording.failure


class Bridge(QObject):
    """Hands the window what its threads have made ready, always in the window's own thread, which never waits.

    Files have one worker and ports another: a port that takes its time holds up no file, and what hangs holds up
    nothing behind it for longer than LONGEST_WAIT_S. `slow` tells what is waited for, `slow_over` that it has come.
    `ended` tells that everything has ended after shut, or that it took too long.
    """

    ended = Signal()
    items_arrived = Signal(list)
    status_taken = Signal(object)
    frame = Signal()
    telling = Signal()
    slow = Signal(str)
    slow_over = Signal(str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._recording: BenchRecording | None = None
        self._jobs: list[_Job] = []
        self._files = Worker("files")
        self._ports = Worker("ports")
        self._closing = Worker("closing")
        self._frames = 0
        self._shutting = self._gone = False
        self._timer = QTimer(self)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.setInterval(FRAME_MS)
        self._timer.timeout.connect(self.tick)
        self._timer.start()
        self._patience = QTimer(self)
        self._patience.setSingleShot(True)
        self._patience.setInterval(LONGEST_SHUT_MS)
        self._patience.timeout.connect(self._end)

    @property
    def recording(self) -> BenchRecording | None:
        """The recording that is passed on to the window, if any."""
        return self._recording

    def attach(self, recording: BenchRecording) -> None:
        """Pass this recording's records and status on to the window from now on."""
        self._recording = recording

    def detach(self) -> BenchRecording | None:
        """Pass nothing on any more; return the recording that was passed on until now."""
        recording, self._recording = self._recording, None
        return recording

    def release(self, recording: BenchRecording, done: Callable[[Any], None] = _nothing) -> Future[Any]:
        """Close a recording on the worker for ports, so that whatever opens a port next comes after it.

        done is told what ended the recording, None where nothing went wrong.
        """
        worker = self._closing if self._shutting else self._ports  # at the end nothing opens a port any more
        future = worker.submit(partial(_close, recording))
        self._jobs.append(_Job(future=future, done=done, failed=_nothing, worker=worker))
        return future

    def submit(
        self,
        work: Callable[[], Any],
        *,
        done: Callable[[Any], None],
        failed: Callable[[BaseException], None],
        on_port: bool = False,
        what: str = "",
        said_after_s: float = SAID_AFTER_S,
    ) -> None:
        """Do work on a worker thread; the timer calls done or failed with its result, in the window's thread.

        on_port: the work waits for a port, or for a recording to be closed. what names what it waits for; `slow` says
        it when the work has gone on for said_after_s. Without it the work may take its time, and says itself how far it
        is. Once the bridge is shut nothing is begun any more.
        """
        if self._shutting:
            return
        worker = self._ports if on_port else self._files
        future = worker.submit(partial(copy_context().run, work))
        job = _Job(future=future, done=done, failed=failed, worker=worker, what=what, said_after_s=said_after_s)
        self._jobs.append(job)

    @property
    def busy(self) -> bool:
        """Whether work on a file or a port is under way."""
        return bool(self._jobs)

    @property
    def gone(self) -> bool:
        """Whether everything has ended after shut, or was left behind."""
        return self._gone

    @Slot()
    def tick(self) -> None:
        """Take everything that the data threads have made ready."""
        self._collect()
        self._say_what_is_slow()
        if self._shutting and not self._jobs:
            self._end()
        if self._recording is not None:
            items = self._recording.feed.drain()
            if items:
                self.items_arrived.emit(items)
            self.status_taken.emit(self._recording.status())
            if items:
                self.frame.emit()  # nothing new, nothing to paint
            self._frames += 1
            if self._frames % _FRAMES_A_TELLING == 0:
                self.telling.emit()

    def _collect(self) -> None:
        ready = [job for job in self._jobs if job.future.done()]
        for job in ready:
            self._jobs.remove(job)
            if job.said:
                self.slow_over.emit(job.what)
            error = job.future.exception()
            if error is None:
                job.done(job.future.result())
            else:
                job.failed(error)

    def _say_what_is_slow(self) -> None:
        """Say what has gone on for long, and let what waits behind it go on in another thread."""
        now_s = time.monotonic()
        for job in self._jobs:
            if not job.what or self._shutting or not job.future.running():
                continue
            if job.began_s is None:
                job.began_s = now_s
            went_on_s = now_s - job.began_s
            if went_on_s >= LONGEST_WAIT_S and not job.passed_by:
                job.passed_by = True
                job.worker.pass_by()
            if went_on_s >= job.said_after_s and not job.said:
                job.said = True
                self.slow.emit(job.what)

    def shut(self) -> None:
        """Let the recording close and the workers end, and come back at once; what was begun is finished.

        `ended` follows, at the latest after LONGEST_SHUT_MS.
        """
        if self._shutting:
            return
        self._shutting = True
        recording = self.detach()
        if recording is not None:
            self.release(recording)
        self._patience.start()
        wait([job.future for job in self._jobs], timeout=_AT_ONCE_S)
        self.tick()

    def keep_all(self) -> None:
        """Close the recording and finish what was begun, where no timer runs any more; come back when that is done.

        It takes no longer than LONGEST_SHUT_MS.
        """
        self._shutting = True
        recording = self.detach()
        if recording is not None:
            self.release(recording)
        wait([job.future for job in self._jobs], timeout=LONGEST_SHUT_MS / 1e3)

    @Slot()
    def _end(self) -> None:
        if self._gone:
            return
        self._gone = True
        self._timer.stop()
        self._patience.stop()
        idle_s = 0.0 if self._jobs else _IDLE_S
        for worker in (self._files, self._ports, self._closing):
            worker.end(idle_s)
        self.ended.emit()
