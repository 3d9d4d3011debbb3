"""The message for a trouble that lasts while a bench is open: its title says what is the matter."""

from collections.abc import Mapping

from benchapp.presentation.cleaning import clean
from benchapp.presentation.messages import CATALOGUE, Message
from benchapp.records.errors import NotOurProbe, PortBusy, PortNotAllowed

_TITLES: Mapping[str, str] = {
    "lost": "The probe was lost",
    "in-use": CATALOGUE[PortBusy].title,
    "not-allowed": CATALOGUE[PortNotAllowed].title,
    "not-our-probe": CATALOGUE[NotOurProbe].title,
}
_OTHERWISE = "The bench could not do that"
_LONGEST = 600


def not_closed_message(name: str, *, kept: str) -> Message:
    """Return the message for a session that was not closed; kept is the end of a sentence about it."""
    return Message(
        title="This session was not closed",
        kept=f"“{clean(name, limit=80)}” {clean(kept, limit=_LONGEST)}.",
        do="Its findings are made from what was kept.",
        details="",
    )


def lasting_message(text: str, *, kept: str, link: str) -> Message:
    """Return the message for the sentence of a status; link is the key of the probe's state."""
    return Message(
        title=_TITLES.get(link, _OTHERWISE),
        kept=clean(kept, limit=_LONGEST),
        do=clean(text, limit=_LONGEST),
        details="",
    )
