"""The colours of figures and printed pages: light ground, each mark at least 3:1 on it, words at least 4.5:1."""

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
