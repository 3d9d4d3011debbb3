"""Names put on the disk: a new name may be lost with the power where only its file was flushed."""

import os
from contextlib import suppress
from pathlib import Path


def sync_folder(folder: Path) -> None:
    """Have the names in a folder put on the disk, where the system can."""
    if os.name == "nt":
        return
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
