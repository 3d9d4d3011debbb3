"""One rotating log file, under the system's folder for state; it never holds what a person typed."""

import logging
import logging.handlers
from pathlib import Path

from PySide6.QtCore import QStandardPaths

_LARGEST_BYTES = 512 * 1024
_KEPT = 2
_FORMAT = "%(asctime)s %(levelname)s %(threadName)s %(name)s: %(message)s"


def log_folder() -> Path:
    """Return where the log and the crash notes are kept."""
    place = QStandardPaths.writableLocation(QStandardPaths.StandardLocation.GenericStateLocation)
    return Path(place) / "benchapp"


def start_log() -> logging.Handler | None:
    """Begin to log; where the folder cannot be written there is no log, and nothing else changes."""
    try:
        log_folder().mkdir(parents=True, exist_ok=True)
        handler = logging.handlers.RotatingFileHandler(
            log_folder() / "benchapp.log", maxBytes=_LARGEST_BYTES, backupCount=_KEPT, encoding="utf-8", delay=True
        )
    except OSError:
        return None
    handler.setFormatter(logging.Formatter(_FORMAT))
    root = logging.getLogger("benchapp")
    root.setLevel(logging.INFO)
    root.addHandler(handler)
    return handler


def stop_log(handler: logging.Handler | None) -> None:
    """End the log."""
    if handler is not None:
        logging.getLogger("benchapp").removeHandler(handler)
        handler.close()
