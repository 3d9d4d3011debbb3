"""Ctrl-C as a question that work asks itself between steps, so that it can end tidily."""

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType


@contextmanager
def stop_on_interrupt() -> Iterator[Callable[[], bool]]:
    """Give what says whether Ctrl-C was pressed; a second press interrupts as usual."""
    pressed = threading.Event()
    if threading.current_thread() is not threading.main_thread():
        yield pressed.is_set
        return
    before = signal.getsignal(signal.SIGINT)

    def note(_number: int, _frame: FrameType | None) -> None:
        pressed.set()
        signal.signal(signal.SIGINT, before)

    signal.signal(signal.SIGINT, note)
    try:
        yield pressed.is_set
    finally:
        signal.signal(signal.SIGINT, before)
