"""A screen that dies: Qt would end the program there and then, with whatever was still to be written."""

import os
import sys
from collections.abc import Callable
from contextlib import suppress

from PySide6.QtCore import QMessageLogContext, QtMsgType, qFormatLogMessage, qInstallMessageHandler

from benchapp.records.errors import SystemTrouble

_BROKE = "connection broke"
"""What Qt says, of an X server and of a Wayland compositor alike, before it ends the program."""
_WORDS = "benchapp: The screen is gone, so the program ends. Everything that was recorded is kept.\n"


class DisplayWatch:
    """Has everything kept when Qt says that the screen is gone, then ends the program with status 3.

    keep closes what is open and comes back within a limit; leave ends the program with a status, never to come back.
    Qt calls the handler in the window's thread, in which nothing else will run any more.
    """

    def __init__(self, keep: Callable[[], None], leave: Callable[[int], object] = os._exit) -> None:
        self._keep = keep
        self._leave = leave

    def begin(self) -> None:
        """Listen to what Qt says; everything else it says is printed as usual."""
        qInstallMessageHandler(self.hear)

    def end(self) -> None:
        """Listen to Qt's messages no more."""
        qInstallMessageHandler(None)

    def hear(self, kind: QtMsgType, context: QMessageLogContext, message: str) -> None:
        """Take one message of Qt's."""
        _say(f"{qFormatLogMessage(kind, context, message)}\n")
        if _BROKE not in message:
            return
        try:
            self._keep()
            _say(_WORDS)
        finally:
            self._leave(SystemTrouble.status)


def _say(words: str) -> None:
    with suppress(OSError, ValueError):  # the terminal may have gone with the screen
        sys.stderr.write(words)
        sys.stderr.flush()
