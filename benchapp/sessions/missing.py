"""What was saved of a session and is not here any more, in words and in time.

Three things tell of a loss, since SQLite passes over a second file (-wal) that is missing, short or damaged without a
word: a file left in the middle of being written (its byte 18 is 2) without that file beside it, commits behind a frame
that does not match its check, and the note in the lock file of how far was saved. A session with such a loss is never
closed in place, and a copy keeps a gap, `lost-end`, for it. One torn step with a note that is satisfied is a power cut
and no damage.
"""

from dataclasses import dataclass
from pathlib import Path

from benchapp.sessions.lock import Saved
from benchapp.sessions.naming import shown_name, sidecars
from benchapp.sessions.reading import StoredRows

_COMMIT_S = 0.25


@dataclass(frozen=True, kw_only=True, slots=True)
class Missing:
    """The end of a session that is not here: from which stamp, to which (None: not known), and in words.

    short is the end of a sentence of what was kept, sentence is one by itself.
    """

    from_ns: int
    to_ns: int | None
    short: str
    sentence: str


def missing_end(
    rows: StoredRows, path: Path, *, saved: Saved | None, records: int, last_ns: int | None, counted: bool
) -> Missing | None:
    """Return what was saved of a session that was not closed and cannot be read, None where nothing is known of that.

    saved : how far its writer said it was saved
    records, last_ns : what is here; counted : whether that is all that lies in the file
    """
    from_ns = last_ns or 0
    if saved is not None:
        less = saved.records - records if counted else int(saved.last_ns > from_ns)
        if less > 0:
            return _told(path, saved, from_ns, less if counted else None)
        if rows.beyond < 2:  # one step may lie there torn: the power went before it was said to be saved
            return None
    name = shown_name(sidecars(path)[0])
    if rows.without_wal and saved is None:
        return Missing(
            from_ns=from_ns,
            to_ns=None,
            short=f"what was saved after {from_ns / 1e9:.3f} s may be missing",
            sentence=(
                f"{name}, the session's second file while it is recorded, is not beside it: what was saved after "
                f"{from_ns / 1e9:.3f} s, if anything, is missing. Look for it where the session was recorded, and put "
                "both into one folder."
            ),
        )
    if rows.beyond and not rows.read_beyond:
        return Missing(
            from_ns=from_ns,
            to_ns=None,
            short=f"what was saved after {from_ns / 1e9:.3f} s is missing",
            sentence=(
                f"{name} is damaged: what was saved after {from_ns / 1e9:.3f} s cannot be read, in {rows.beyond} steps "
                f"of saving (of about {_COMMIT_S:g} s where a bench was recorded)."
            ),
        )
    return None


def _told(path: Path, saved: Saved, from_ns: int, less: int | None) -> Missing:
    to_ns = max(saved.last_ns, from_ns)
    span = f"from {from_ns / 1e9:.3f} s to {to_ns / 1e9:.3f} s"
    count = "Records" if less is None else f"{less} of {saved.records} records"
    return Missing(
        from_ns=from_ns,
        to_ns=to_ns,
        short=f"what was saved {span} is missing",
        sentence=(
            f"{count} that were saved are missing, {span}: {shown_name(sidecars(path)[0])}, the session's second file "
            "while it is recorded, is not whole, or not the one that belongs to it."
        ),
    )
