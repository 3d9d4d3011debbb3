"""Pen strokes for our own drawings: boxes, wires, resistors and the like, as SVG in the colours figures have."""

from collections.abc import Sequence
from xml.sax.saxutils import escape

from benchapp.presentation.ground.colours import CARD, EDGE, INK, ROLE_COLOURS, SOFT_INK

WIDTH = 640
Point = tuple[float, float]


def drawing(title: str, height: int, *parts: str) -> str:
    """Return a whole drawing on its white ground, as wide as a column of the help."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{height}" viewBox="0 0 {WIDTH} {height}">\n'
        f'<title>{escape(title)}</title>\n<rect x="0" y="0" width="{WIDTH}" height="{height}" fill="{CARD}"/>\n'
        + "\n".join(parts)
        + "\n</svg>\n"
    )


def colour(role: str) -> str:
    return ROLE_COLOURS.get(role, INK)


def words(x: float, y: float, text: str, *, size: int = 13, anchor: str = "start", soft: bool = False,
          bold: bool = False) -> str:  # fmt: skip
    weight = ' font-weight="bold"' if bold else ""
    ink = SOFT_INK if soft else INK
    return (
        f'<text x="{x:g}" y="{y:g}" font-family="sans-serif" font-size="{size}" text-anchor="{anchor}" '
        f'fill="{ink}"{weight}>{escape(text)}</text>'
    )


def lines(x: float, y: float, *texts: str, size: int = 12, anchor: str = "start", soft: bool = True) -> str:
    """Return several lines of words, one under the other."""
    return "\n".join(
        words(x, y + 16 * number, text, size=size, anchor=anchor, soft=soft) for number, text in enumerate(texts)
    )


def wire(*points: Point, ink: str = INK, width: float = 1.8, dashed: bool = False) -> str:
    places = " ".join(f"{x:g},{y:g}" for x, y in points)
    dash = ' stroke-dasharray="5 4"' if dashed else ""
    return f'<polyline points="{places}" fill="none" stroke="{ink}" stroke-width="{width:g}"{dash}/>'


def dot(x: float, y: float, ink: str = INK) -> str:
    return f'<circle cx="{x:g}" cy="{y:g}" r="3.2" fill="{ink}"/>'


def ring(x: float, y: float, radius: float = 4, ink: str = INK) -> str:
    return f'<circle cx="{x:g}" cy="{y:g}" r="{radius:g}" fill="{CARD}" stroke="{ink}" stroke-width="1.5"/>'


def box(x: float, y: float, width: float, height: float, title: str = "", *under: str, ink: str = EDGE) -> str:
    """Return a box with a title and lines under it, in its middle."""
    parts = [
        f'<rect x="{x:g}" y="{y:g}" width="{width:g}" height="{height:g}" rx="8" fill="{CARD}" stroke="{ink}" '
        'stroke-width="1.5"/>'
    ]
    middle, top = x + width / 2, y + height / 2 + 5 - 8.5 * len(under)
    if title:
        parts.append(words(middle, top, title, anchor="middle", bold=True))
    parts += [
        words(middle, top + 17 * (number + 1), text, size=12, anchor="middle", soft=True)
        for number, text in enumerate(under)
    ]
    return "\n".join(parts)


def resistor(x: float, y: float, value: str, *, upright: bool = False, ink: str = INK, side: str = "start") -> str:
    """Return a resistor 40 long whose middle is at (x, y), with its value above it, or beside an upright one."""
    width, height = (14, 40) if upright else (40, 14)
    body = (
        f'<rect x="{x - width / 2:g}" y="{y - height / 2:g}" width="{width}" height="{height}" fill="{CARD}" '
        f'stroke="{ink}" stroke-width="1.6"/>'
    )
    if not upright:
        return f"{body}\n{words(x, y - 13, value, size=12, anchor='middle')}"
    away = 12 if side == "start" else -12
    return f"{body}\n{words(x + away, y + 4, value, size=12, anchor=side)}"


def ground(x: float, y: float) -> str:
    """Return the sign of ground, hanging from (x, y)."""
    return "\n".join(
        wire((x - half, y + 5 * number), (x + half, y + 5 * number), ink=SOFT_INK, width=1.6)
        for number, half in enumerate((11, 7, 3))
    )


def rail(y: float, *drops: Point, text: str = "one common ground, connected first") -> str:
    """Return the ground line from left to right, with what hangs down to it."""
    parts = [wire((20, y), (WIDTH - 20, y), ink=SOFT_INK)]
    for x, top in drops:
        parts += [wire((x, top), (x, y), ink=SOFT_INK, width=1.5), dot(x, y, SOFT_INK)]
    parts.append(words(WIDTH - 20, y + 20, text, size=12, anchor="end", soft=True))
    return "\n".join(parts)


def mosfet(x: float, y: float) -> str:
    """Return an N-channel transistor: gate at (x, y), drain up at (x + 34, y - 36), source down at (x + 34, y + 36)."""
    bar, channel, out = x + 12, x + 18, x + 34
    arrow = _head((channel + 1, y), (channel + 9, y - 4), (channel + 9, y + 4))
    return "\n".join(
        (
            wire((x, y), (bar, y)),
            wire((bar, y - 18), (bar, y + 18), width=2.4),
            *(wire((channel, y + at - 5), (channel, y + at + 5), width=2.4) for at in (-14, 0, 14)),
            wire((channel, y - 14), (out, y - 14), (out, y - 36)),
            wire((channel, y + 14), (out, y + 14), (out, y + 36)),
            wire((channel, y), (out, y), (out, y + 14)),
            arrow,
        )
    )


def lamp(x: float, y: float) -> str:
    """Return a light-emitting diode from (x, y - 18) down to (x, y + 18)."""
    return "\n".join(
        (
            wire((x, y - 18), (x, y - 9)),
            f'<polygon points="{x - 9:g},{y - 9:g} {x + 9:g},{y - 9:g} {x:g},{y + 8:g}" fill="{CARD}" stroke="{INK}" '
            'stroke-width="1.6"/>',
            wire((x - 9, y + 8), (x + 9, y + 8), width=2.2),
            wire((x, y + 8), (x, y + 18)),
        )
    )


def light(x: float, y: float) -> str:
    """Return two small arrows of light to the right of (x, y)."""
    return "\n".join(
        f"{wire((x, y + at), (x + 16, y + at), width=1.4)}\n"
        f"{_head((x + 22, y + at), (x + 15, y + at - 3.5), (x + 15, y + at + 3.5))}"
        for at in (-5, 5)
    )


def phototransistor(x: float, y: float) -> str:
    """Return a transistor that light opens: collector up at (x + 12, y - 18), emitter down at (x + 12, y + 18)."""
    out = x + 12
    arrow = _head((out, y + 12), (x + 4, y + 11), (x + 9, y + 5))
    return "\n".join(
        (
            wire((x, y - 11), (x, y + 11), width=2.4),
            wire((x, y - 4), (out, y - 12), (out, y - 18)),
            wire((x, y + 4), (out, y + 12), (out, y + 18)),
            arrow,
        )
    )


def contact(x: float, y: float, length: float = 40) -> str:
    """Return an open switch contact from (x, y) to the right."""
    return "\n".join((ring(x, y), ring(x + length, y), wire((x + 3, y - 2), (x + length - 6, y - 17), width=2)))


def note(number: int, x: float, y: float) -> str:
    """Return a numbered mark."""
    circle = f'<circle cx="{x:g}" cy="{y:g}" r="10" fill="{CARD}" stroke="{INK}" stroke-width="1.5"/>'
    return f"{circle}\n{words(x, y + 4.5, str(number), anchor='middle', bold=True)}"


def arrow_head(x: float, y: float, *, ink: str = INK) -> str:
    """Return an arrow's head that points left, its tip at (x, y)."""
    return _head((x, y), (x + 9, y - 4), (x + 9, y + 4), ink=ink)


def _head(*points: Point, ink: str = INK) -> str:
    places = " ".join(f"{x:g},{y:g}" for x, y in points)
    return f'<polygon points="{places}" fill="{ink}"/>'


def polygon(points: Sequence[Point], *, ink: str = EDGE, fill: str = CARD) -> str:
    places = " ".join(f"{x:g},{y:g}" for x, y in points)
    return f'<polygon points="{places}" fill="{fill}" stroke="{ink}" stroke-width="1.5"/>'
