"""The colours of figures and printed pages: light ground, each mark at least 3:1 on it, words at least 4.5:1."""

import re
from collections.abc import Mapping

PAPER = "#F7F6F2"
CARD = "#FFFFFF"
INK = "#1C1E24"
SOFT_INK = "#55585F"
EDGE = "#8A8D94"
HAIRLINE = "#DAD8D2"
ACTION = "#332288"

# Leads: Paul Tol's muted scheme; told apart by their labels as well.
ROLE_COLOURS: Mapping[str, str] = {
    "switch": "#332288",
    "module": "#117733",
    "output": "#882255",
    "horn": "#AA4499",
}

SIGNAL_COLOURS: Mapping[str, tuple[str, str]] = {
    "DANGER": ("#A3140A", "#FFFFFF"),
    "WARNING": ("#E69F00", INK),
    "CAUTION": ("#F0E442", INK),
    "NOTICE": ("#0072B2", "#FFFFFF"),
}
"""Ground and words of each signal word (the last three Okabe and Ito)."""


def role_colour(role: str) -> str:
    """Return the colour of a lead's line; soft ink where the role has none of its own."""
    return ROLE_COLOURS.get(role.partition("-")[0], SOFT_INK)


ON_DARK: Mapping[str, str] = {
    CARD: "#1F2229",
    PAPER: "#16181D",
    INK: "#F1F0EC",
    SOFT_INK: "#B4B7BE",
    EDGE: "#7C8088",
    HAIRLINE: "#343842",
    ACTION: "#88CCEE",
    "#117733": "#44AA99",
    "#882255": "#CC6677",
}
"""What each colour becomes on a dark ground; the horn's is the same on both."""


def on_dark(svg: str) -> str:
    """Return a figure's drawing for a dark ground: the same drawing, every colour exchanged for its counterpart."""
    return _ANY.sub(lambda found: ON_DARK.get(found[0], found[0]), svg)


_ANY = re.compile(r"#[0-9A-F]{6}\b")
