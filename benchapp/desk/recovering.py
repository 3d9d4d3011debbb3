"""Sessions that were stopped early, finished."""

from pathlib import Path

from benchapp.sessions.recovery import recover


def recover_session(path: Path) -> str:
    """Return what was kept of a session that was stopped early, and close it; "" if it was closed already.

    Raises SessionBusy while it is being recorded, DamagedEvidence, DiskTrouble.
    """
    return recover(path)
