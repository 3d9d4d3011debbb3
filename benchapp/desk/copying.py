"""A copy of a session in another folder, for one that lies where nothing can be written."""

import shutil
from contextlib import suppress
from pathlib import Path

from benchapp.desk.names import shown
from benchapp.desk.recovering import recover_session
from benchapp.records.errors import BenchError, DiskTrouble, SessionBusy, WrongInput
from benchapp.sessions.lock import is_held
from benchapp.sessions.naming import sidecars

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
    made: list[Path] = []
    try:
        for part, there in zip((session, *sidecars(session)), (copy, *sidecars(copy)), strict=True):
            if part.exists():
                made.append(there)
                shutil.copyfile(part, there)
                there.chmod(there.stat().st_mode | _OWNER_MAY_WRITE)
    except OSError as error:
        for part in made:
            part.unlink(missing_ok=True)
        reason = error.strerror or type(error).__name__
        raise DiskTrouble(
            f"No copy could be written into {shown(folder)}: {reason}.", kept="Nothing changed."
        ) from error
    if len(made) > 1:
        with suppress(BenchError):  # one that is damaged is copied as it is
            recover_session(copy)
    return copy


def _free(folder: Path, session: Path) -> Path:
    path, number = folder / session.name, 2
    while path.exists():
        path = folder / f"{session.stem} {number}{session.suffix}"
        number += 1
    return path
