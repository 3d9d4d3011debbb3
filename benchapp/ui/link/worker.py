"""A thread that does the window's long work, one thing after the other, and never keeps the program from ending."""

import queue
import threading
from collections.abc import Callable
from concurrent.futures import Future
from contextlib import suppress
from functools import partial
from typing import Any

_Queue = queue.SimpleQueue[Callable[[], None] | None]


class Worker:
    """One daemon thread, begun with its first work; what hangs in it is left behind when the program ends."""

    def __init__(self, name: str) -> None:
        self._name = name
        self._begin_anew()

    def _begin_anew(self) -> None:
        self._work: _Queue = queue.SimpleQueue()
        self._thread = threading.Thread(target=_run, args=(self._work,), name=self._name, daemon=True)

    def submit(self, work: Callable[[], Any]) -> Future[Any]:
        """Return what will hold the result of the work."""
        future: Future[Any] = Future()
        self._put(partial(_do, work, future))
        return future

    def _put(self, work: Callable[[], None]) -> None:
        if self._thread.ident is None:
            self._thread.start()
        self._work.put(work)

    def pass_by(self) -> None:
        """Do what waits behind the present work in another thread; the present work may still end in its own."""
        held_up = self._work
        self._begin_anew()
        with suppress(queue.Empty):
            while (work := held_up.get_nowait()) is not None:
                self._put(work)
        held_up.put(None)

    def end(self, within_s: float) -> None:
        """End the thread once its work is done; wait for it no longer than this."""
        if self._thread.ident is not None:
            self._work.put(None)
            self._thread.join(within_s)


def _run(works: _Queue) -> None:
    while (work := works.get()) is not None:
        work()
        del work  # what the work holds must not live on until the next one comes


def _do(work: Callable[[], Any], future: Future[Any]) -> None:
    future.set_running_or_notify_cancel()
    try:
        result = work()
    except BaseException as fault:  # noqa: BLE001 - whoever asked for the work is told
        future.set_exception(fault)
    else:
        future.set_result(result)
