"""Ctrl-C as a question that work asks itself between steps, so that it can end tidily; and what else asks to end."""

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


_ASK_TO_END = tuple(getattr(signal, name) for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name))


@contextmanager
def ended_as_interrupted() -> Iterator[None]:
    """Let SIGTERM, and SIGHUP where the terminal goes, raise KeyboardInterrupt as Ctrl-C does.

    One that was ignored when the program started stays ignored.
    """
    before = {}
    if threading.current_thread() is threading.main_thread():
        before = {number: signal.getsignal(number) for number in _ASK_TO_END}
    before = {number: handler for number, handler in before.items() if handler not in (signal.SIG_IGN, None)}
    for number in before:
        signal.signal(number, _interrupt)
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _interrupt(_number: int, _frame: FrameType | None) -> None:
    raise KeyboardInterrupt
