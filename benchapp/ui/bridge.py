"""The only crossing from the data threads into the window: one timer that drains bounded queues."""

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any, Protocol

from PySide6.QtCore import QObject, Qt, QTimer, Signal, Slot

from benchapp.acquisition.feed import Feed
from benchapp.acquisition.status import Status
from benchapp.acquisition.wishes import Wish

FRAME_MS = 33
_FRAMES_A_TELLING = 8
"""Words change at most four times a second, so that they can be read."""


class BenchRecording(Protocol):
    """What the window needs of a recording; its threads are its own."""

    @property
    def feed(self) -> Feed:
        """The records for the lanes."""

    def status(self) -> Status:
        """Return how things are at this moment."""

    def wish(self, wish: Wish) -> None:
        """Ask for something; the answer shows in the status."""

    def close(self) -> None:
        """Stop the threads, keep everything, and come back when that is done."""


@dataclass(frozen=True, slots=True, eq=False)
class _Job:
    future: Future[Any]
    done: Callable[[Any], None]
    failed: Callable[[BaseException], None]


class Bridge(QObject):
    """Hands the window what its threads have made ready, always in the window's own thread."""

    items_arrived = Signal(list)
    status_taken = Signal(object)
    frame = Signal()
    telling = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._recording: BenchRecording | None = None
        self._jobs: list[_Job] = []
        self._worker = ThreadPoolExecutor(max_workers=1, thread_name_prefix="desk")
        self._frames = 0
        self._closed = False
        self._timer = QTimer(self)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.setInterval(FRAME_MS)
        self._timer.timeout.connect(self.tick)
        self._timer.start()

    @property
    def recording(self) -> BenchRecording | None:
        """The recording that is drained, if any."""
        return self._recording

    def attach(self, recording: BenchRecording) -> None:
        """Drain this recording from now on."""
        self._recording = recording

    def detach(self) -> BenchRecording | None:
        """Drain nothing from now on; return what was drained until now."""
        recording, self._recording = self._recording, None
        return recording

    def submit(
        self, work: Callable[[], Any], *, done: Callable[[Any], None], failed: Callable[[BaseException], None]
    ) -> None:
        """Do work on the worker thread; the timer calls done or failed with its result, in the window's thread.

        Once the bridge is closed nothing is begun any more.
        """
        if self._closed:
            return
        self._jobs.append(_Job(self._worker.submit(work), done, failed))

    @property
    def busy(self) -> bool:
        """Whether work is under way."""
        return bool(self._jobs)

    @Slot()
    def tick(self) -> None:
        """Take everything that is ready."""
        self._collect()
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
            error = job.future.exception()
            if error is None:
                job.done(job.future.result())
            else:
                job.failed(error)

    def close(self) -> None:
        """Stop the timer, close the recording, wait for the worker."""
        self._closed = True
        self._timer.stop()
        recording = self.detach()
        if recording is not None:
            recording.close()
        self._worker.shutdown(wait=True)
        self._collect()
