"""Which sessions were open lately, kept as one text in the settings.

With name, date and origin in it, so that no file need be opened to show the list. Only what was opened is added. Each
setting is written by itself: two copies of the program do not undo each other's.
"""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path

from benchapp.ui.kept.kept_values import kept_json

MOST = 20


@dataclass(frozen=True, kw_only=True, slots=True)
class Recent:
    """A session that was open lately: its file, its name, when it began (ISO 8601), where from; "" if unknown.

    told : its last test and the figure of that
    """

    path: str
    name: str
    started: str = ""
    origin: str = ""
    told: str = ""


def recent_sessions(kept: str) -> list[Recent]:
    """Return the sessions, the newest first; none where the text makes no sense.

    Before, the text held a path a line; such sessions are named by their files.
    """
    entries = kept_json(kept, None)
    if entries is None:
        return [Recent(path=line, name=Path(line).stem) for line in kept.split("\n") if Path(line).is_absolute()][:MOST]
    if not isinstance(entries, list):
        return []
    return [_recent(entry) for entry in entries if _is_recent(entry)][:MOST]


def with_recent(kept: str, session: Recent, *, at: int = 0) -> str:
    """Return the text with a session put first (or at another place); one that was there moves."""
    others = [other for other in recent_sessions(kept) if other.path != session.path]
    return _text([*others[:at], session, *others[at:]][:MOST])


def without_recent(kept: str, path: str) -> str:
    """Return the text without a session."""
    return _text([other for other in recent_sessions(kept) if other.path != path])


def _text(sessions: list[Recent]) -> str:
    return json.dumps([asdict(session) for session in sessions])


def _is_recent(entry: object) -> bool:
    return isinstance(entry, dict) and all(isinstance(entry.get(key), str) and entry[key] for key in ("path", "name"))


def _recent(entry: Mapping[str, object]) -> Recent:
    started, origin, told = (str(entry.get(key) or "") for key in ("started", "origin", "told"))
    return Recent(path=str(entry["path"]), name=str(entry["name"]), started=started, origin=origin, told=told)
