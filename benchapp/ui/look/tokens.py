"""The colours, sizes and distances everything on screen is made of."""

from dataclasses import dataclass
from enum import IntEnum


class Space(IntEnum):
    """The only distances between things [logical pixels]."""

    HAIR = 4
    SMALL = 8
    MEDIUM = 12
    LARGE = 16
    WIDE = 24
    PAGE = 32
    HUGE = 48


class Type(IntEnum):
    """The only sizes of letters [pt]."""

    CAPTION = 10
    BODY = 11
    LEAD = 13
    HEADING = 16
    TITLE = 22
    COUNT = 26
    PROMPT = 42
    FIGURE = 56


TARGET_PX = 36
"""The least height of anything to press; 24 is the least that is kind to unsteady hands."""

FOCUS_PX = 3
"""The width of the ring round what the keyboard acts on."""

RADIUS_PX = 8
"""How round the corners of cards and buttons are."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Tokens:
    """One theme's colours as #RRGGBB. on_x is the ink on a ground of colour x."""

    name: str
    paper: str
    card: str
    plot: str
    ink: str
    soft_ink: str
    control_edge: str
    hairline: str
    action: str
    on_action: str
    recording: str
    on_recording: str
    switch: str
    module: str
    output: str
    horn: str
    inside: str
    outside: str
    cannot_tell: str

    def role(self, role: str) -> str:
        """Return the colour of a lead's marks and lines; roles without one of their own are soft ink."""
        own = {"switch": self.switch, "module": self.module, "output": self.output, "horn": self.horn}
        return own.get(role.split("-", maxsplit=1)[0], self.soft_ink)


LIGHT = Tokens(
    name="light",
    paper="#F7F6F2",
    card="#FFFFFF",
    plot="#FFFFFF",
    ink="#1C1E24",
    soft_ink="#55585F",
    control_edge="#8A8D94",
    hairline="#DAD8D2",
    action="#332288",
    on_action="#FFFFFF",
    recording="#1C1E24",
    on_recording="#FFFFFF",
    switch="#332288",
    module="#117733",
    output="#882255",
    horn="#AA4499",
    inside="#004488",
    outside="#994455",
    cannot_tell="#997700",
)

DARK = Tokens(
    name="dark",
    paper="#16181D",
    card="#1F2229",
    plot="#1A1D23",
    ink="#F1F0EC",
    soft_ink="#B4B7BE",
    control_edge="#7C8088",
    hairline="#343842",
    action="#88CCEE",
    on_action="#16181D",
    recording="#F1F0EC",
    on_recording="#16181D",
    switch="#88CCEE",
    module="#44AA99",
    output="#CC6677",
    horn="#AA4499",
    inside="#6699CC",
    outside="#EE99AA",
    cannot_tell="#EECC66",
)

SIGNALS = {
    "DANGER": ("#A3140A", "#FFFFFF"),
    "WARNING": ("#E69F00", "#1C1E24"),
    "CAUTION": ("#F0E442", "#1C1E24"),
    "NOTICE": ("#0072B2", "#FFFFFF"),
}
"""Ground and ink of the signal words, the same in both themes."""


def relative_luminance(colour: str) -> float:
    """Return the relative luminance of #RRGGBB, 0 to 1, as WCAG 2.2 defines it."""
    channels = (int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast_ratio(one: str, other: str) -> float:
    """Return the contrast of two colours, 1 to 21, as WCAG 2.2 defines it."""
    low, high = sorted((relative_luminance(one), relative_luminance(other)))
    return (high + 0.05) / (low + 0.05)
