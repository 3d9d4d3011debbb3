"""A thread that does the window's long work, one thing after the other, and never keeps the program from ending."""

import queue
import threading
from collections.abc import Callable
from concurrent.futures import Future
from functools import partial
from typing import Any


class Worker:
    """One daemon thread, begun with its first work; what hangs in it is left behind when the program ends."""

    def __init__(self, name: str) -> None:
        self._work: queue.SimpleQueue[Callable[[], None] | None] = queue.SimpleQueue()
        self._thread = threading.Thread(target=self._run, name=name, daemon=True)

    def submit(self, work: Callable[[], Any]) -> Future[Any]:
        """Return what will hold the result of the work."""
        future: Future[Any] = Future()
        if self._thread.ident is None:
            self._thread.start()
        self._work.put(partial(_do, work, future))
        return future

    def end(self, within_s: float) -> None:
        """End the thread once its work is done; wait for it no longer than this."""
        if self._thread.ident is not None:
            self._work.put(None)
            self._thread.join(within_s)

    def _run(self) -> None:
        while (work := self._work.get()) is not None:
            work()
            del work  # what the work holds must not live on until the next one comes


def _do(work: Callable[[], Any], future: Future[Any]) -> None:
    try:
        result = work()
    except BaseException as fault:  # noqa: BLE001 - whoever asked for the work is told
        future.set_exception(fault)
    else:
        future.set_result(result)
