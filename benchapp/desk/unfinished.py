"""Sessions that were stopped early, found."""

from dataclasses import dataclass
from pathlib import Path

from benchapp.records.errors import BenchError
from benchapp.sessions.lock import is_held, lock_path
from benchapp.sessions.naming import sidecars
from benchapp.sessions.opening import open_session

_ENDING = ".t2h"


@dataclass(frozen=True, kw_only=True, slots=True)
class Unfinished:
    """A session that was not closed: its file, its name, what there is of it, as the end of a sentence, and whether
    something of it is damaged or missing, so that it cannot be closed.
    """

    path: Path
    name: str
    kept: str
    damaged: bool = False


def unfinished_sessions(folder: Path) -> tuple[Unfinished, ...]:
    """Return the sessions in a folder that were stopped early, the newest first; none where it cannot be read.

    Only files beside which their writer left something are looked into: a closed session stands alone. Those still
    being recorded, and those nothing can be read of, are not among them.
    """
    found = (_unfinished(path) for path in _left_behind(folder))
    return tuple(session for session in found if session is not None)


def _left_behind(folder: Path) -> list[Path]:
    try:
        paths = [path for path in folder.iterdir() if path.suffix == _ENDING and path.is_file()]
        marked = [path for path in paths if any(part.exists() for part in (lock_path(path), *sidecars(path)))]
        return sorted(marked, key=lambda path: path.stat().st_mtime, reverse=True)
    except OSError:
        return []


def _unfinished(path: Path) -> Unfinished | None:
    if is_held(path):
        return None
    try:
        session = open_session(path)
    except BenchError:
        return None
    if session.closed or session.live:
        return None
    return Unfinished(path=path, name=session.facts.name, kept=session.kept, damaged=bool(session.damage))
