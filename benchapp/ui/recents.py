"""Which sessions were open lately, kept as one text in the settings, and which of them cannot be read."""

from collections.abc import Mapping
from pathlib import Path

MOST = 8


def recent_paths(kept: str) -> list[Path]:
    """Return the files, the newest first."""
    return [Path(line) for line in kept.split("\n") if line][:MOST]


def with_recent(kept: str, path: Path) -> str:
    """Return the text with a file put first; one that was there moves up."""
    newest = str(path.absolute())
    others = [str(other) for other in recent_paths(kept) if str(other) != newest]
    return "\n".join([newest, *others][:MOST])


class Unreadable:
    """Remembers, until the program ends, why a session that was asked for could not be read."""

    def __init__(self) -> None:
        self._asked: Path | None = None
        self._reasons: dict[Path, str] = {}

    @property
    def reasons(self) -> Mapping[Path, str]:
        """Why each could not be read."""
        return self._reasons

    def ask(self, path: Path) -> None:
        """Note which file is being opened."""
        self._asked = path.absolute()

    def opened(self, path: Path) -> None:
        """Note that a file could be read."""
        self._reasons.pop(path.absolute(), None)
        self._asked = None

    def failed(self, why: str) -> bool:
        """Note why the file that was asked for could not be read; return whether one was asked for."""
        if self._asked is None:
            return False
        self._reasons[self._asked] = why
        self._asked = None
        return True
