"""A sheet to draw on that becomes SVG: lines, dots, boxes and text, nothing a renderer could read differently."""

from collections.abc import Iterable
from html import escape

from benchapp.presentation.ground.cleaning import clean
from benchapp.presentation.ground.colours import CARD, HAIRLINE, INK, SOFT_INK
from benchapp.presentation.ground.page import PRACTICE_MARK

Point = tuple[float, float]

TEXT_PX = 13.0
SMALL_PX = 12.0
MARGIN_PX = 10.0

# Widths in em, a little above those of the widest common sans-serif faces, so that estimated text never clips.
_NARROW = frozenset("fijl.,:;'|!()[] \u00a0\u202f")
_WIDE = frozenset("mwMW%@—…")
_NARROW_EM, _USUAL_EM, _CAPITAL_EM, _WIDE_EM, _FULL_EM = 0.40, 0.64, 0.74, 1.0, 1.05


def text_width_px(text: str, size_px: float = TEXT_PX, *, bold: bool = False) -> float:
    """Return a width the text will not exceed, in px."""
    width = sum(_em(character) for character in text) * size_px
    return width * 1.12 if bold else width


def _em(character: str) -> float:
    if character in _NARROW:
        return _NARROW_EM
    if character in _WIDE:
        return _WIDE_EM
    if ord(character) > 0x2E80:
        return _FULL_EM
    return _CAPITAL_EM if character.isupper() else _USUAL_EM


class Canvas:
    """A white sheet of width × height px; y runs downwards. Drawn in the order called."""

    def __init__(self, width: float, height: float) -> None:
        self.width = width
        self.height = height
        self._parts: list[str] = []

    def line(self, start: Point, end: Point, colour: str, width: float = 1.0) -> None:
        """Draw a straight solid line."""
        (x1, y1), (x2, y2) = start, end
        ends = f'x1="{_n(x1)}" y1="{_n(y1)}" x2="{_n(x2)}" y2="{_n(y2)}"'
        self._parts.append(f'<line {ends} stroke="{colour}" stroke-width="{_n(width)}"/>')

    def path(self, points: Iterable[Point], colour: str, width: float = 1.5) -> None:
        """Draw straight lines from point to point."""
        text = " ".join(f"{_n(x)},{_n(y)}" for x, y in points)
        if text:
            self._parts.append(
                f'<polyline points="{text}" fill="none" stroke="{colour}" stroke-width="{_n(width)}" '
                'stroke-linejoin="round" stroke-linecap="round"/>'
            )

    def box(self, x: float, y: float, width: float, height: float, colour: str, *, opacity: float = 1.0) -> None:
        """Fill a rectangle."""
        shade = "" if opacity >= 1.0 else f' fill-opacity="{_n(opacity)}"'
        size = f'width="{_n(max(width, 0.0))}" height="{_n(max(height, 0.0))}"'
        self._parts.append(f'<rect x="{_n(x)}" y="{_n(y)}" {size} fill="{colour}"{shade}/>')

    def frame(self, left: float, top: float, right: float, bottom: float) -> None:
        """Draw a hairline round a plot."""
        size = f'width="{_n(right - left)}" height="{_n(bottom - top)}"'
        self._parts.append(f'<rect x="{_n(left)}" y="{_n(top)}" {size} fill="none" stroke="{HAIRLINE}"/>')

    def dot(self, x: float, y: float, radius: float, colour: str, *, hollow: bool = False) -> None:
        """Draw a dot, filled or as a ring."""
        fill = f'fill="{CARD}" stroke="{colour}" stroke-width="1.4"' if hollow else f'fill="{colour}"'
        radius = radius - 0.5 if hollow else radius
        self._parts.append(f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(radius)}" {fill}/>')

    def dots(self, points: Iterable[Point], radius: float, colour: str) -> None:
        """Draw many filled dots as one mark: the ends of strokes too short to be seen."""
        text = "".join(f"M{_n(x)},{_n(y)}h.01" for x, y in points)
        if text:
            pen = f'stroke="{colour}" stroke-width="{_n(2 * radius)}" stroke-linecap="round"'
            self._parts.append(f'<path d="{text}" fill="none" {pen}/>')

    def cross(self, x: float, y: float, radius: float, colour: str) -> None:
        """Draw a small ×."""
        self.line((x - radius, y - radius), (x + radius, y + radius), colour, 1.6)
        self.line((x - radius, y + radius), (x + radius, y - radius), colour, 1.6)

    def text(
        self,
        x: float,
        y: float,
        text: str,
        *,
        size: float = TEXT_PX,
        anchor: str = "start",
        colour: str = INK,
        bold: bool = False,
        on_sheet: bool = False,
    ) -> None:
        """Write text whose baseline is at y; anchor is start, middle or end. It is moved to stay on the sheet.

        on_sheet: what was drawn behind the text before is covered.
        """
        shown = clean(text)
        width = text_width_px(shown, size, bold=bold)
        x = self._kept_on(x, width, anchor)
        if on_sheet:
            left = x - {"start": 0.0, "middle": width / 2, "end": width}[anchor]
            self.box(left, y - size, width, size + 4, CARD)
        weight = ' font-weight="bold"' if bold else ""
        self._parts.append(
            f'<text x="{_n(x)}" y="{_n(y)}" font-family="sans-serif" font-size="{_n(size)}"{weight} '
            f'text-anchor="{anchor}" fill="{colour}">{escape(shown)}</text>'
        )

    def practice_mark(self) -> None:
        """Mark the sheet as simulated, top right."""
        self.text(self.width - MARGIN_PX, 16, PRACTICE_MARK, size=SMALL_PX, anchor="end", colour=SOFT_INK, bold=True)

    def svg(self) -> str:
        """Return the drawing."""
        size = f'width="{_n(self.width)}" height="{_n(self.height)}"'
        view = f'viewBox="0 0 {_n(self.width)} {_n(self.height)}"'
        sheet = f'<rect x="0" y="0" {size} fill="{CARD}"/>'
        return f'<svg xmlns="http://www.w3.org/2000/svg" {size} {view}>{sheet}{"".join(self._parts)}</svg>'

    def _kept_on(self, x: float, width: float, anchor: str) -> float:
        before = {"start": 0.0, "middle": width / 2, "end": width}[anchor]
        return max(min(x, self.width - MARGIN_PX / 2 - (width - before)), MARGIN_PX / 2 + before)


def _n(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
