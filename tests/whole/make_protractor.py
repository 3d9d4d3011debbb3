"""Draw the printable protractor anew: `python -m tests.whole.make_protractor`.

One sheet, A4 across, in millimetres: a scale of degrees about a pivot mark, a row of marks for each preset of stops,
and a line of 100 mm to see whether the printer kept the size.
"""

import math
from collections.abc import Iterator
from pathlib import Path
from xml.sax.saxutils import escape

from benchapp.procedures.asked_settings import PRESETS, preset_stops_deg

FILE = Path(__file__).parents[2] / "resources" / "stick-protractor.svg"
WIDTH, HEIGHT = 297.0, 210.0
PIVOT = (148.5, 168.0)
SCALE_MM = 100.0
WIDEST_DEG = 45
ROWS_MM = {5: 112.0, 9: 119.0, 11: 126.0, 21: 133.0}
_LENGTHS_MM = {10: 9.0, 5: 6.5, 1: 4.0}
_RULER_MM = 100.0
STEPS = (
    "1. Glue the sheet to card and stand it beside the stick, square to the axis the stick turns about, the cross",
    "level with that axis and 0° where the stick rests.",
    "2. Fix a thin, straight pointer to the stick that reaches the scale. Read it from straight in front.",
    "3. Come to each stop from the side of the one before. Gone past? Go back a little and come again.",
    "A reading is good to about half a degree. A stick that turns less than 30° each way: type positions of your own.",
)
WORDS = (
    (12, 14, 5.5, "Thumb to Horn: protractor for a stick swept by stops"),
    (12, 21, 3.6, "Print at full size (100 %, not “fit to page”); the line on the right is then 100 mm long."),
    *((12, 183 + 5.3 * number, 3.6, step) for number, step in enumerate(STEPS)),
)


def at(degrees: float, radius: float) -> tuple[float, float]:
    """Return the point at an angle from straight up, right being positive, so far from the pivot [mm]."""
    turn = math.radians(degrees)
    return PIVOT[0] + radius * math.sin(turn), PIVOT[1] - radius * math.cos(turn)


def line(one: tuple[float, float], other: tuple[float, float], width: float, kind: str) -> str:
    places = f'x1="{one[0]:.3f}" y1="{one[1]:.3f}" x2="{other[0]:.3f}" y2="{other[1]:.3f}"'
    return f'<line class="{kind}" {places} stroke-width="{width}"/>'


def words(x: float, y: float, size: float, text: str, *, anchor: str = "start", turned: float = 0.0) -> str:
    turn = f' transform="rotate({turned:.3f} {x:.3f} {y:.3f})"' if turned else ""
    return f'<text x="{x:.3f}" y="{y:.3f}" font-size="{size}" text-anchor="{anchor}"{turn}>{escape(text)}</text>'


def arc(radius: float, widest: float, width: float) -> str:
    (x1, y1), (x2, y2) = at(-widest, radius), at(widest, radius)
    path = f"M {x1:.3f} {y1:.3f} A {radius} {radius} 0 0 1 {x2:.3f} {y2:.3f}"
    return f'<path d="{path}" fill="none" stroke-width="{width}"/>'


def scale() -> Iterator[str]:
    """Yield the degrees: a tick each, longer ones at five and ten, numbers at ten."""
    yield arc(SCALE_MM, WIDEST_DEG, 0.35)
    for degrees in range(-WIDEST_DEG, WIDEST_DEG + 1):
        step = next(step for step in (10, 5, 1) if degrees % step == 0)
        inner = SCALE_MM - _LENGTHS_MM[step]
        yield line(at(degrees, inner), at(degrees, SCALE_MM), 0.35 if step > 1 else 0.18, "degree")
        if step == 10:
            x, y = at(degrees, SCALE_MM - 14.0)
            yield words(x, y, 5, f"{degrees}°".replace("-", "−"), anchor="middle", turned=degrees)


def rows() -> Iterator[str]:
    """Yield a row of marks for each preset, farther out the more stops it has."""
    for count in PRESETS:
        radius = ROWS_MM[count]
        yield arc(radius, 30.0, 0.12)
        for degrees in preset_stops_deg(count):
            yield line(at(degrees, radius - 2.2), at(degrees, radius + 2.2), 0.3, f"stop-{count}")
        for side, anchor in ((-31.5, "end"), (31.5, "start")):
            x, y = at(side, radius - 1.2)
            yield words(x, y, 3.4, f"{count} stops", anchor=anchor, turned=side)


def pivot() -> Iterator[str]:
    """Yield the cross the stick's axis goes over, and the line of 0°."""
    x, y = PIVOT
    yield line((x - 6, y), (x + 6, y), 0.25, "pivot")
    yield line((x, y - 6), (x, y + 6), 0.25, "pivot")
    yield f'<circle cx="{x}" cy="{y}" r="2" fill="none" stroke-width="0.25"/>'
    yield line(at(0, 12), at(0, SCALE_MM - 20), 0.12, "rest")


def ruler() -> Iterator[str]:
    x, y = 185.0, 12.5
    yield line((x, y), (x + _RULER_MM, y), 0.3, "ruler")
    for tenth in range(11):
        place = x + tenth * _RULER_MM / 10
        yield line((place, y), (place, y + (3.0 if tenth % 5 == 0 else 1.8)), 0.3, "ruler-tick")
    yield words(x + _RULER_MM / 2, y + 8, 3.6, "100 mm", anchor="middle")


def sheet() -> str:
    """Return the whole sheet."""
    parts = [*scale(), *rows(), *pivot(), *ruler(), *(words(*place) for place in WORDS)]
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH:g}mm" height="{HEIGHT:g}mm" '
        f'viewBox="0 0 {WIDTH:g} {HEIGHT:g}" stroke="#000000" font-family="sans-serif">'
    )
    title = "<title>Protractor for a stick swept by stops</title>"
    style = "<style>text { stroke: none; fill: #000000 }</style>"
    paper = f'<rect width="{WIDTH:g}" height="{HEIGHT:g}" fill="#ffffff" stroke="none"/>'
    return "\n".join(['<?xml version="1.0" encoding="UTF-8"?>', head, title, style, paper, *parts, "</svg>", ""])


if __name__ == "__main__":
    FILE.write_text(sheet(), encoding="utf-8")
