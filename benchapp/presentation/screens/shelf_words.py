"""Words about the sessions that are kept: a line for each in the list, deleted ones, ones that were stopped early."""

from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.messages import Message
from benchapp.presentation.ground.numbers import when

GONE = "The file is no longer there."
NONE_LISTED = "No session is listed any more."
COMES_HERE = "The next one you record or open is listed here."
IN_THE_TRASH = "What you deleted can be taken back: “Deleted sessions…”, below."
UNDO = "Undo"
OPEN_IT = "Open it"
SKIP = "Skip"
SAVE_A_COPY = "Save a copy to…"
_LONGEST = 80
_LONGEST_REASON = 200
_FROM = {"practice": "PRACTICE, SIMULATED", "capture": "from a capture"}


def shelf_name(name: str) -> str:
    """Return a session's name as the list shows it."""
    return clean(name, limit=_LONGEST)


def shelf_line(*, started: str, origin: str, reason: str, told: str = "") -> str:
    """Return the second line of a session in the list: why it cannot be read, else test and figure, when, whence."""
    if reason:
        return clean(reason, limit=_LONGEST_REASON)
    began = when(started).split(" (")[0] if started else ""
    return (
        " · ".join(part for part in (clean(told, limit=_LONGEST), began, _FROM.get(origin, "")) if part)
        or "date not noted"
    )


def deleted_message(name: str, *, days: int) -> Message:
    """Return what to say after a session was deleted."""
    return Message(
        title=f"“{clean(name, limit=_LONGEST)}” was deleted",
        kept=f"It is kept in the program's trash for {days} days.",
        do="Start lists it under “Deleted sessions…”.",
        details="",
    )


def trashed_line(deleted: str, kept_until: str) -> str:
    """Return the second line of a session in the trash, from two ISO 8601 dates."""
    return f"deleted {when(deleted).split(' (')[0]} · kept until {when(kept_until).split(',')[0]}"


def restored_message(name: str) -> Message:
    """Return what to say after a session was taken out of the trash."""
    return Message(
        title=f"“{clean(name, limit=_LONGEST)}” is back",
        kept="It is where it was before it was deleted, and in the list again.",
        do="",
        details="",
    )


def tidied_sentence(count: int, folder: str) -> str:
    """Return what to say once drafts that kills left in a folder were removed."""
    what = "One unfinished file" if count == 1 else f"{count} unfinished files"
    was = "was" if count == 1 else "were"
    return f"{what} that an earlier start left in {folder} {was} removed: nothing was lost by it."


def tidied_message(count: int, folder: str) -> Message:
    """Return the same for the window."""
    return Message(title="Something left over was removed", kept=tidied_sentence(count, folder), do="", details="")


def not_writable_message(details: str) -> Message:
    """Return what to say where a session cannot be added to; details say why."""
    return Message(
        title="This session cannot be added to where it is",
        kept="It is as it was, and what you typed is still on the page.",
        do="Save a copy where you may write: what you typed goes into the copy.",
        details=details,
    )


_OPEN_TO_CLOSE = "Open it to close it properly and see its findings."
_OPEN_DAMAGED = "Open it to see what is there; it is not closed, so that what is missing can still be put beside it."


def stopped_early_message(name: str, *, kept: str, more: int, damaged: bool = False) -> Message:
    """Return what to say of a session that a crash left open; kept is the end of a sentence about it.

    more counts further ones that wait; a damaged one is not closed in its place.
    """
    waiting = "" if not more else " There is one more after it." if more == 1 else f" There are {more} more after it."
    return Message(
        title=f"“{clean(name, limit=_LONGEST)}” {clean(kept, limit=_LONGEST_REASON)}",
        kept="Everything in the good blocks is kept.",
        do=f"{_OPEN_DAMAGED if damaged else _OPEN_TO_CLOSE} Skipped, it stays as it is.{waiting}",
        details="",
    )


def closed_now_message(name: str, *, kept: str) -> Message:
    """Return what to say once such a session was closed."""
    return Message(
        title=f"“{clean(name, limit=_LONGEST)}” is closed properly now",
        kept=f"It {clean(kept, limit=_LONGEST_REASON)}.",
        do="Its findings are made from what was kept.",
        details="",
    )


RUN_GOES_ON = Message(
    title="A test is running",
    kept="It goes on; nothing was opened.",
    do="Stop it first (Esc, it is kept), then open the file.",
    details="",
)
