"""Draw three of the help's drawings anew: `python -m tests.whole.make_help_drawings`."""

import math
from collections.abc import Callable, Mapping
from pathlib import Path

from benchapp.presentation.ground.colours import ACTION, EDGE, SOFT_INK
from tests.whole.drawing import colour, dot, drawing, note, wire, words

FOLDER = Path(__file__).parents[2] / "resources" / "help"
STOPS = ("Start", "Leads", "Make it safe", "Tests", "Findings")
DOING = ("open the practice", "flip, and watch", "confirm one line", "let the bench flip", "read, click a dot")
LONGER = ("bench", "", "", "sixty times", "")
SPEEDS = (1.0, 1.5, 0.75)
"""How long each round's strokes take beside the first one's."""


def first_path() -> str:
    """The five stops of the first run."""
    parts = []
    for number, (stop, doing, longer) in enumerate(zip(STOPS, DOING, LONGER, strict=True)):
        x = 66 + 127 * number
        if number:
            parts.append(wire((x - 111, 34), (x - 16, 34), ink=EDGE))
        parts += [
            note(number + 1, x, 34),
            words(x, 70, stop, anchor="middle", bold=True),
            words(x, 90, doing, size=12, anchor="middle", soft=True),
            words(x, 106, longer, size=12, anchor="middle", soft=True),
        ]
    return drawing("The five stops of the first run", 124, *parts)


def sweep() -> str:
    """A stick's way over time: rests, and strokes at uneven speeds."""
    low, high, x = 150.0, 50.0, 84.0
    rest, stroke = 20.0, 62.0
    points = [(x, low), (x + rest, low)]
    x += rest
    for speed in SPEEDS:
        for y in (high, low):
            x += stroke * speed
            points.append((x, y))
            x += rest
            points.append((x, y))
    parts = [
        wire((76, 30), (76, 164), ink=EDGE, width=1.2),
        wire((76, 164), (624, 164), ink=EDGE, width=1.2),
        words(66, high + 5, "one end", size=12, anchor="end", soft=True),
        words(66, low + 5, "other end", size=12, anchor="end", soft=True),
        words(624, 182, "time", size=12, anchor="end", soft=True),
        wire(*points, ink=ACTION, width=2.4),
        words(176, 28, "easy", size=12, anchor="middle", soft=True),
        words(354, 28, "more slowly", size=12, anchor="middle", soft=True),
        words(534, 28, "a little quicker", size=12, anchor="middle", soft=True),
        words(84, 200, "Rest a second at each end; three rounds, each at another speed.", size=13),
    ]
    return drawing("A stick swept by hand", 214, *parts)


def stops() -> str:
    """A stick before the protractor, set to one of its marks."""
    pivot, radius = (320.0, 226.0), 178.0

    def at(degrees: float, length: float) -> tuple[float, float]:
        turn = math.radians(degrees)
        return pivot[0] + length * math.sin(turn), pivot[1] - length * math.cos(turn)

    arc = [at(step, radius) for step in range(-38, 39)]
    parts = [wire(*arc, ink=EDGE, width=1.4)]
    for mark in range(9):
        degrees = -30 + 7.5 * mark
        parts.append(wire(at(degrees, radius - 7), at(degrees, radius + 7), ink=ACTION, width=2))
        x, y = at(degrees, radius + 20)
        parts.append(words(x, y + 4, str(mark + 1), size=12, anchor="middle"))
    parts += [
        wire(pivot, at(0, 110), ink=EDGE, width=9),
        wire(pivot, at(15, 110), ink=colour("switch"), width=9),
        wire(at(15, 104), at(15, radius - 10), ink=colour("output"), width=2.4),
        dot(*pivot),
        wire((150, 226), (490, 226), ink=SOFT_INK),
        words(410, 130, "a thin, straight pointer", size=12, soft=True),
        wire((405, 128), (372, 104), ink=SOFT_INK, width=1),
        words(96, 130, "marks −30° to +30°", size=12, soft=True),
        words(96, 146, "here nine of them", size=12, soft=True),
        words(330, 248, "the axis the stick turns about", size=12, soft=True),
    ]
    return drawing("A stick set to the marks of the paper protractor", 262, *parts)


DRAWINGS: Mapping[str, Callable[[], str]] = {"first-path": first_path, "sweep": sweep, "stops": stops}


if __name__ == "__main__":
    for name, draw in DRAWINGS.items():
        (FOLDER / f"{name}.svg").write_text(draw(), encoding="utf-8")
