"""What the help holds, in the order it is read: its pages under their headings.

A page's file holds its text alone: its place in the list and the links at its foot come from here.
"""

from collections.abc import Mapping

from benchapp.presentation.shown import CARDS

CONTENTS: Mapping[str, Mapping[str, str]] = {
    "To begin with": {
        "first-five-minutes": "Your first five minutes",
        "start": "Start",
        "closed": "Without opening anything",
    },
    "The six steps": {
        "bench": "On the bench",
        "leads": "Leads",
        "safe": "Make it safe",
        "tests": "Tests",
        "findings": "Findings",
        "put-back": "Put it back",
    },
    "The tests": {page: title for card in CARDS.all() for page, title in card.help_pages.items()},
    "The probe": {
        "build-a-probe": "I want to build the probe",
        "wiring-switch": "Wire: the switch",
        "wiring-closed": "Wire: contact or light gate",
        "wiring-drive": "Wire: the probe flips",
        "wiring-output": "Wire: the servo output",
        "wiring-module": "Wire: the module",
        "wiring-stick": "Wire: the stick",
        "wiring-horn": "Wire: the servo horn",
        "wiring-voltage": "Wire: a voltage",
        "wiring-current": "Wire: a current",
        "wiring-servo": "Wire: servo pulses out",
        "self-test": "Does my probe tell the truth?",
    },
    "Besides": {
        "capture": "Captures from another instrument",
        "settings": "Settings",
        "words": "What the words mean",
        "keys": "Keys",
        "trouble": "When something goes wrong",
    },
}
"""{heading: {page: title}}; a page is a file of that name in `resources/help`."""

PAGES: Mapping[str, str] = {page: title for group in CONTENTS.values() for page, title in group.items()}

TO_INSTALL = frozenset({"build-a-probe"})
"""The pages whose foot leads to where the probe program is put on a board."""
TO_TEST = frozenset({"self-test"})
"""The pages whose foot leads to where a probe is tested."""

_WIRING: Mapping[str, str] = {
    "switch": "wiring-switch",
    "drive": "wiring-drive",
    "output": "wiring-output",
    "module": "wiring-module",
    "stick": "wiring-stick",
    "horn": "wiring-horn",
    "voltage": "wiring-voltage",
    "current": "wiring-current",
}


def wiring_page(role: str, *, closed: bool = False) -> str:
    """Return the page that shows how a lead of this role is wired; closed: nobody opens the transmitter."""
    if role == "switch" and closed:
        return "wiring-closed"
    return _WIRING.get(role.partition("-")[0], "build-a-probe")


def neighbours(page: str) -> tuple[str, str]:
    """Return the pages before and after a page, "" where there is none."""
    names = list(PAGES)
    if page not in names:
        return "", ""
    place = names.index(page)
    return names[place - 1] if place else "", names[place + 1] if place + 1 < len(names) else ""
