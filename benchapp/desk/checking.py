"""Whether a session file is whole: every block against its check."""

from pathlib import Path

from benchapp.sessions.opening import Verification, verify


def check(path: Path) -> Verification:
    """Return what a check of every row, every block and the evidence code finds. Raises as load does."""
    return verify(path)
