"""Small JSON files in which the program remembers something: read with suspicion, written whole."""

import json
import os
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from benchapp.desk.outputs import disk_trouble
from benchapp.sessions.drafts import draft_beside

_LARGEST = 1 << 20


def read_memory(file: Path, *, kind: str) -> Mapping[str, object]:
    """Return what a file of this kind holds; nothing where it is not there, is another file or makes no sense.

    What is remembered can be asked for again, so a damaged file is no reason to stop.
    """
    try:
        if file.stat().st_size > _LARGEST:
            return {}
        held = json.loads(file.read_bytes())
    except (OSError, ValueError, RecursionError):
        return {}
    return held if isinstance(held, dict) and held.get("format") == kind else {}


def write_memory(file: Path, *, kind: str, held: Mapping[str, object]) -> None:
    """Write a file of this kind, whole or not at all. Raises DiskTrouble."""
    text = json.dumps({"format": kind, **held}, indent=1, ensure_ascii=True, allow_nan=False)
    draft = draft_beside(file)
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        with draft.open("x", encoding="ascii") as writing:
            writing.write(text + "\n")
            writing.flush()
            os.fsync(writing.fileno())
        draft.replace(file)
    except OSError as error:
        raise disk_trouble(error, file) from error
    finally:
        with suppress(OSError):  # where nothing can be written nothing is left either
            draft.unlink(missing_ok=True)
