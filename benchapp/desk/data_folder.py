"""Where the program keeps what it remembers of ports and probes, for the window and the command line alike."""

import os
import sys
from pathlib import Path

_OWN = "benchapp"


def data_folder() -> Path:
    """Return the folder, under the system's own for data; it need not be there yet."""
    home = Path.home()
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or home / "AppData" / "Local") / _OWN
    if sys.platform == "darwin":
        return home / "Library" / "Application Support" / _OWN
    # XDG Base Directory Specification 0.8: a path that is not absolute is to be ignored
    named = Path(os.environ.get("XDG_DATA_HOME", ""))
    return (named if named.is_absolute() else home / ".local" / "share") / _OWN
