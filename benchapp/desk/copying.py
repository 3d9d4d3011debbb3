"""A copy of a session in another folder, for one that lies where nothing can be written.

A session in a read-only folder, or on a full disk, is not changed itself: its copy gets what was typed, and has the
same evidence code.
"""

import os
import shutil
from contextlib import suppress
from pathlib import Path

from benchapp.desk.names import shown
from benchapp.desk.recovering import recover_session
from benchapp.records.errors import BenchError, DiskTrouble, SessionBusy, WrongInput
from benchapp.sessions.drafts import draft_beside
from benchapp.sessions.flushing import sync_folder
from benchapp.sessions.lock import is_held, lock_path
from benchapp.sessions.naming import reason, sidecars

_OWNER_MAY_WRITE = 0o600


def copy_session(session: Path, folder: Path) -> Path:
    """Return a copy of a session under a free name in a folder, one that was stopped early closed; it can be added to.

    The session itself stays as it is. Raises SessionBusy while it is being recorded, WrongInput where there is no such
    file, DiskTrouble where the copy cannot be written (nothing of it is left then).
    """
    if is_held(session):
        raise SessionBusy(f"{shown(session.name)} is being recorded. Stop that first, then copy it.")
    if not session.is_file():
        raise WrongInput(f"There is no file {shown(session)} any more.")
    copy = _free(folder, session)
    # the main file last: before it has its name, nothing there is a session
    parts = [(part, there) for part, there in zip(_files(session), _files(copy), strict=True) if part.exists()]
    made: list[Path] = []
    try:
        for part, there in parts:
            draft = draft_beside(there)
            made += (draft, there)
            shutil.copyfile(part, draft)
            draft.chmod(draft.stat().st_mode | _OWNER_MAY_WRITE)
            with draft.open("rb") as copied:
                os.fsync(copied.fileno())
            draft.rename(there)
        sync_folder(copy.parent)
    except OSError as error:
        for part in made:
            with suppress(OSError):
                part.unlink(missing_ok=True)
        why = reason(error)
        raise DiskTrouble(f"No copy could be written into {shown(folder)}: {why}.", kept="Nothing changed.") from error
    if len(parts) > 1:
        with suppress(BenchError):  # one that is damaged is copied as it is
            recover_session(copy)
    return copy


def _files(session: Path) -> tuple[Path, ...]:
    """Return the names of a session's files, the note of how far it was saved among them, its own last."""
    return (*sidecars(session), lock_path(session), session)


def _free(folder: Path, session: Path) -> Path:
    path, number = folder / session.name, 2
    while any(os.path.lexists(part) for part in _files(path)):
        path = folder / f"{session.stem} {number}{session.suffix}"
        number += 1
    return path
