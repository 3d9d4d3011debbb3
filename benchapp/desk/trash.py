"""The program's own trash: a deleted session lies there for thirty days and can be taken back.

It is undone from the bar right away, or later under *Deleted sessions…* on Start. A note beside each session says
where it was; without the note it comes back into the folder of sessions.
"""

import json
import os
import shutil
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from benchapp.desk.moving import move_together
from benchapp.desk.names import shown
from benchapp.desk.recovering import recover_session
from benchapp.desk.trash_days import count_days
from benchapp.records.errors import BenchError, DiskTrouble, OutputExists, SessionBusy, WrongInput
from benchapp.sessions.lock import is_held, lock_path
from benchapp.sessions.naming import reason, sidecars
from benchapp.sessions.opening import open_session

KEPT_DAYS = 30
_STAMP = "%Y%m%dT%H%M%S%f"
_WHENCE = "whence.json"
"""The note beside a session in the trash that tells where it was and what it is called."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Discarded:
    """A session in the trash: where it was, the folder of its own it lies in now, and for how long.

    name is what the session is called, its file's name where it could not be read.
    """

    path: Path
    folder: Path
    name: str
    kept_days: int = KEPT_DAYS

    @property
    def since(self) -> datetime | None:
        """When it was deleted (UTC), None where its folder is not the trash's own."""
        return _since(self.folder.name)


def discard(path: Path, trash: Path, *, now: datetime) -> Discarded:
    """Move a session into the trash, one that was stopped early closed first; return how to take it back.

    Raises SessionBusy while it is being recorded, WrongInput where it is no file, DiskTrouble where it cannot be moved
    (it is then where it was).
    """
    if is_held(path):
        raise SessionBusy(f"{shown(path.name)} is being recorded. Stop that first, then delete it.")
    if not path.is_file():
        raise WrongInput(f"There is no file {shown(path)} any more.")
    if any(part.exists() for part in sidecars(path)):
        # in one file it moves whole or not at all; damaged ones and files that are no session move as they are
        with suppress(BenchError):
            recover_session(path)
    folder = trash / now.astimezone(UTC).strftime(_STAMP)
    discarded = Discarded(path=path, folder=folder, name=_name(path))
    _move(_parts(path), discarded.folder, what=path)
    note = {"path": str(path.absolute()), "name": discarded.name}
    with suppress(OSError):  # without the note it comes back into the folder where sessions are kept
        (discarded.folder / _WHENCE).write_text(json.dumps(note), encoding="ascii")
    return discarded


def discarded_sessions(trash: Path, *, home: Path) -> tuple[Discarded, ...]:
    """Return the sessions in the trash, the one deleted last first; home is for those nobody knows the place of."""
    if not trash.is_dir():
        return ()
    folders = sorted((folder for folder in trash.iterdir() if _since(folder.name) is not None), reverse=True)
    return tuple(found for found in (_discarded(folder, home) for folder in folders) if found is not None)


def take_back(discarded: Discarded) -> Path:
    """Move a session out of the trash to where it was, and return that.

    Raises OutputExists where another file has its name by now, DiskTrouble where it cannot be moved.
    """
    if os.path.lexists(discarded.path):
        raise OutputExists(f"There is another {shown(discarded.path)} by now. Move that away, then undo.")
    inside = discarded.folder / discarded.path.name
    _move(_parts(inside), discarded.path.parent, what=discarded.path)
    with suppress(OSError):  # it is back; an empty folder in the trash is no trouble
        (discarded.folder / _WHENCE).unlink(missing_ok=True)
        discarded.folder.rmdir()
    return discarded.path


def empty_old(trash: Path, *, now: datetime) -> None:
    """Delete for good what has lain in the trash for longer than thirty days; what is not the trash's own stays.

    Days are counted start by start (trash_days), so that a clock that is wrong deletes nothing at once. Where the count
    cannot be kept nothing is deleted.
    """
    if not trash.is_dir():
        return
    folders = frozenset(folder.name for folder in trash.iterdir() if _since(folder.name) is not None)
    with suppress(DiskTrouble):
        for name, days in count_days(trash, folders, now=now).items():
            if days > KEPT_DAYS:
                shutil.rmtree(trash / name, ignore_errors=True)


def _discarded(folder: Path, home: Path) -> Discarded | None:
    """Return the one session in a folder of the trash, None where there is not exactly one."""
    try:
        inside = {path.name: path for path in folder.iterdir()}
    except OSError:
        return None
    inside.pop(_WHENCE, None)
    beside = {part.name for path in inside.values() for part in (*sidecars(path), lock_path(path))}
    names = [name for name in inside if name not in beside]
    if len(names) != 1:
        return None
    note = _note(folder)
    was = Path(note.get("path", ""))
    return Discarded(
        path=was if was.is_absolute() and was.name == names[0] and _can_be(was) else home / names[0],
        folder=folder,
        name=note.get("name", "") or Path(names[0]).stem,
    )


def _name(path: Path) -> str:
    with suppress(BenchError):
        return open_session(path).facts.name or path.stem
    return path.stem


def _note(folder: Path) -> dict[str, str]:
    """Return what the note beside a session says; a note of only a text is its place."""
    try:
        note = json.loads((folder / _WHENCE).read_text(encoding="ascii"))
    except (OSError, ValueError, RecursionError):
        return {}
    if isinstance(note, str):
        return {"path": note}
    return {key: text for key, text in note.items() if isinstance(text, str)} if isinstance(note, dict) else {}


def _can_be(path: Path) -> bool:
    """Return whether a system can have a file of that name at all; no text with a zero in it is one."""
    try:
        return b"\0" not in os.fsencode(path)
    except UnicodeEncodeError:
        return False


def _since(name: str) -> datetime | None:
    try:
        return datetime.strptime(name, _STAMP).replace(tzinfo=UTC)
    except ValueError:
        return None


def _parts(path: Path) -> list[Path]:
    """Return the files of a session, its own last."""
    return [*(part for part in (*sidecars(path), lock_path(path)) if part.exists()), path]


def _move(parts: list[Path], folder: Path, *, what: Path) -> None:
    try:
        move_together(parts, folder)
    except FileExistsError as error:
        raise OutputExists(f"There is another {shown(str(error.filename))} by now. Move that away first.") from error
    except OSError as error:
        raise DiskTrouble(f"{shown(what)} could not be moved: {reason(error)}.", kept="It is where it was.") from error
