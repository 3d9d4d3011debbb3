"""A copy of a session without what is private in it."""

from dataclasses import dataclass, replace
from pathlib import Path

from benchapp.desk.outputs import check_target
from benchapp.records.events import EventKind
from benchapp.records.photo import PHOTO
from benchapp.sessions.copying import save_copy
from benchapp.sessions.opening import open_session


@dataclass(frozen=True, kw_only=True, slots=True)
class Shared:
    """What sharing a session made: the evidence codes of session and copy, and what the copy lacks.

    fields are the keys of what was on the bench that held something, in order; notes and marks count the texts left
    out; photo tells whether there was one; name is the session's, which stays. damage holds a sentence for everything
    of the session that does not match its check.
    """

    code: str
    copied_code: str
    name: str
    fields: tuple[str, ...]
    notes: int
    marks: int
    photo: bool
    damage: tuple[str, ...]


def share(session: Path, out: Path, *, force: bool = False) -> Shared:
    """Write a closed copy of a session without its description, photo, notes and the texts of its marks.

    Of the evidence nothing is left out, so the copy has the same evidence code. Raises as open_session does,
    OutputExists, WrongCall, SessionBusy and DiskTrouble for out; nothing is written then.
    """
    check_target(out, force=force, inputs=[session])
    with open_session(session) as opened:
        described = [event.detail for event in opened.events if event.kind is EventKind.BENCH]
        held = dict.fromkeys(key for detail in described for key, value in detail.items() if value not in ("", None))
        texts = [event.kind for event in opened.events if event.detail.get("text")]
        found = Shared(
            code=opened.evidence_hash,
            copied_code="",
            name=opened.facts.name,
            fields=tuple(key for key in held if key != PHOTO),
            notes=texts.count(EventKind.NOTE),
            marks=texts.count(EventKind.MARK),
            photo=PHOTO in held,
            damage=opened.facts.damage,
        )
    return replace(found, copied_code=save_copy(session, out, without_private=True, force=force))
