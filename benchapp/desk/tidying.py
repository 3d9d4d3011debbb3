"""What calls that were killed left behind, tidied away."""

import time
from pathlib import Path

from benchapp.sessions.drafts import remove_left_drafts


def tidy(folder: Path) -> int:
    """Return how many drafts were removed from a folder: those that a kill left there and nothing touched for a day."""
    return remove_left_drafts(folder, now_s=time.time())
