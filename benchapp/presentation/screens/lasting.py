"""The message for a trouble that lasts while a bench is open: its title says what is the matter."""

from collections.abc import Sequence

from benchapp.presentation.ground.cleaning import clean, message_line
from benchapp.presentation.ground.messages import CATALOGUE, Message
from benchapp.records.errors import PortGone, WrongCall

_SAVED = "Everything saved before is still there."
_ENTRIES = {kind.__name__: (entry.title, entry.do) for kind, entry in CATALOGUE.items() if kind is not WrongCall}
_ENTRIES[PortGone.__name__] = (
    "The probe was lost",
    "Plug it in again: it is looked for every second, and what it sends then is a new stretch.",
)
_OTHERWISE = ("The bench could not do that", "Read the line below; carry on once it is put right.")
_LONGEST = 600


def not_closed_message(name: str, *, kept: str) -> Message:
    """Return the message for a session that was not closed; kept is the end of a sentence about it."""
    return Message(
        title="This session was not closed",
        kept=f"“{clean(name, limit=80)}” {message_line(kept, limit=_LONGEST)}.",
        do="Its findings are made from what was kept.",
        details="",
    )


def slow_message(what: str) -> Message:
    """Return the message that something has not come yet; what names it: a folder, a file, a port."""
    return Message(
        title="Still waiting",
        kept="Nothing is lost.",
        do="It goes on by itself once that answers; a disk or a port that does not may have to be plugged in again.",
        details=f"Waiting for {message_line(what, limit=_LONGEST)}",
    )


_SETTING_WORDS = {
    "theme": "light or dark",
    "text_percent": "the size of letters",
    "session_folder": "the folder of sessions",
    "practice_radio": "the practice radio",
    "test": "the last test",
    "flips": "the number of flips",
    "bench_flips": "who flips",
    "sounds": "sounds",
    "single_keys": "single keys",
    "recent": "the sessions opened lately",
    "skipped": "the sessions left alone",
    "last_bench": "what was noted last",
}


def ignored_settings_message(names: Sequence[str]) -> Message:
    """Return the message for settings that made no sense in their file."""
    words = ", ".join(_SETTING_WORDS.get(name, clean(name, limit=40)) for name in names)
    return Message(
        title="Some settings could not be read",
        kept="Sessions are not touched by that.",
        do=f"These are as usual again: {words}. Choose anew in Settings what you had chosen there.",
        details="",
    )


def lasting_message(text: str, *, kept: str, trouble: str) -> Message:
    """Return the message for the sentence of a status: the sentence as its details, under words for the trouble.

    trouble names the class of the error; one that is not in the catalogue gets words that fit every trouble.
    """
    title, do = _ENTRIES.get(trouble, _OTHERWISE)
    # a bench that is open may have been recording: what the catalogue says of calls that never began would be wrong
    shown = message_line(kept, limit=_LONGEST) or _SAVED
    return Message(title=title, kept=shown, do=do, details=message_line(text, limit=_LONGEST))
