"""What helps to find a fault: versions and the last lines of the log, with nobody's names in them."""

import platform
import re
from importlib.metadata import PackageNotFoundError, version

from benchapp.app.log_file import log_folder
from benchapp.desk.software import software

LINES = 200
_PACKAGES = ("PySide6-Essentials", "pyqtgraph", "pyserial", "numpy", "cobs")
_QUOTED = re.compile(r"'[^'\n]*'|\"[^\"\n]*\"|“[^”\n]*”")
_OWN_FILE = re.compile(
    r"(?<![\w.])(?:~|[A-Za-z]:)?[/\\][^\n]*?\.(?:t2h|vcd|csv|tsv|txt|html|pdf|json)\b", re.IGNORECASE
)
"""A file of a person's own, spaces in its name and all."""
_PATH = re.compile(r"(?<![\w.])(?:~|[A-Za-z]:)?[/\\][^\s:,;]+")
_SYSTEM = ("/dev/", "/usr/", "benchapp/")


def bug_details(said: str = "") -> str:
    """Return the text, begun with what a message said; nothing is sent anywhere, a person pastes it where they like."""
    facts = [software(), f"Python {platform.python_version()}", platform.platform()]
    facts += [f"{name} {_version(name)}" for name in _PACKAGES]
    spoken = [without_names(line) for line in said.splitlines()]
    return "\n".join([*spoken, *([""] if spoken else []), *facts, "", *(without_names(line) for line in _last_lines())])


def without_names(line: str) -> str:
    """Return a line of the log without what it quotes and without the paths of a person's own files."""
    return _PATH.sub(_kept_path, _OWN_FILE.sub(_kept_path, _QUOTED.sub("'…'", line)))


def _kept_path(found: re.Match[str]) -> str:
    path = found[0]
    if path.startswith(_SYSTEM) or "/benchapp/" in path:
        return path[path.rfind("benchapp/") :] if "benchapp/" in path else path
    return "…"


def _last_lines() -> list[str]:
    try:
        text = (log_folder() / "benchapp.log").read_text(encoding="utf-8", errors="replace")
    except OSError:
        return ["(there is no log)"]
    return text.splitlines()[-LINES:]


def _version(package: str) -> str:
    try:
        return version(package)
    except PackageNotFoundError:
        return "not found"
