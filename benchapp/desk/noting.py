"""What is under test, noted or corrected after a session was closed."""

from collections.abc import Mapping
from pathlib import Path

from benchapp.records.events import Event, EventKind, Json
from benchapp.sessions.amending import append_events


def note_bench(path: Path, fields: Mapping[str, str]) -> None:
    """Add fields of what is under test to a closed session; a later text replaces an earlier one, "" takes it back.

    The evidence, and with it the evidence hash, stays as it was. Raises as append_events does.
    """
    detail: dict[str, Json] = dict(fields)
    append_events(path, [Event(kind=EventKind.BENCH, at_ns=0, detail=detail)])
