"""The blocks of a page turned into pieces that can be drawn on paper."""

from collections.abc import Iterable
from functools import partial

from PySide6.QtCore import QByteArray, QRectF
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtSvg import QSvgRenderer

from benchapp.presentation.ground.colours import HAIRLINE, SIGNAL_COLOURS, SOFT_INK
from benchapp.presentation.ground.page import (
    Block,
    Bullets,
    Definitions,
    Facts,
    Figure,
    Heading,
    KeyFigure,
    Notice,
    Page,
    Paragraph,
    Photo,
    Table,
    Tone,
)
from benchapp.report.pdf_pages import Piece
from benchapp.report.pdf_table import table_pieces
from benchapp.report.pdf_type import Laid, Style, Typesetter

BODY = Style()
SMALL = Style(size=8.3)
SOFT = Style(size=8.3, colour=SOFT_INK)
_HIGHEST_PHOTO_PT = 260.0
_LINES_BESIDE = 3
Box = tuple[float, float, float, float]
"""Left, top, width and height [pt]."""
_TONES = {Tone.BODY: BODY, Tone.LEAD: Style(size=11.5, bold=True, leading=1.3), Tone.SOFT: SOFT}
_SOFT_BEHIND = Style(size=7.2, colour=SOFT_INK, leading=1.28)
_TONES_BEHIND = {
    Tone.BODY: Style(size=7.2, leading=1.25),
    Tone.LEAD: Style(size=9.5, bold=True),
    Tone.SOFT: _SOFT_BEHIND,
}
_HEADINGS = {2: (Style(size=14.0, bold=True, leading=1.3), 12.0), 3: (Style(size=11.0, bold=True), 9.0)}
_BEHIND = {2: (Style(size=11.5, bold=True, leading=1.25), 9.0), 3: (Style(size=8.6, bold=True, leading=1.3), 7.0)}


class PieceMaker:
    """Turns blocks into pieces for one device and one text width [pt].

    behind : smaller letters, for what lies behind the first sheet
    """

    def __init__(self, setter: Typesetter, width: float, *, behind: bool = False) -> None:
        self._set = setter
        self._width = width
        self._headings = _BEHIND if behind else _HEADINGS
        self._tones = _TONES_BEHIND if behind else _TONES
        self._body, self._caption = self._tones[Tone.BODY], _SOFT_BEHIND
        self._fact_size, self._fact_pad = (7.2, 1.1) if behind else (8.8, 2.6)

    def title(self, page: Page) -> Iterable[Piece]:
        """Return the head of the document."""
        yield self._text("Thumb to Horn – test report", SOFT, keep_next=True)
        style = Style(size=20.0, bold=True, leading=1.25)
        yield self._text(self._set.shortened(page.title, self._width, style), style, keep_next=True)
        yield self._text(page.subtitle, SOFT, space_above=1.0, keep_next=True)
        yield Piece(height=8.0, draw=self._rule)

    def pieces(self, block: Block) -> Iterable[Piece]:
        """Return the pieces of one block, from the top down."""
        found: Iterable[Piece]
        match block:
            case Heading():
                style, room = self._headings[3 if block.level >= 3 else 2]
                text = self._text(block.text, style, space_above=room, keep_next=True)
                found = () if block.quiet else (text,)
            case Paragraph():
                found = (self._text(block.text, self._tones[block.tone], space_above=6.0),)
            case Bullets():
                found = (self._bullet(item, 0.0, self._body, space_above=1.5) for item in block.items)
            case Notice():
                found = self._notice(block)
            case Facts():
                found = self._facts(block)
            case KeyFigure():
                found = (self._key_figure(block),)
            case Figure():
                found = (self._figure(block),)
            case Photo():
                found = self._photo(block)
            case Table():
                found = table_pieces(block, self._set, self._width)
            case Definitions():
                found = self._definitions(block)
        return found

    def _text(self, text: str, style: Style, *, space_above: float = 0.0, keep_next: bool = False) -> Piece:
        laid = self._set.lay(text, self._width, style)
        return Piece(
            height=laid.height,
            draw=lambda painter, top: laid.draw(painter, 0.0, top),
            space_above=space_above,
            keep_next=keep_next,
        )

    def _rule(self, painter: QPainter, top: float) -> None:
        self._fill(painter, (0.0, top + 6.0, self._width, 1.2), SOFT_INK)

    def _fill(self, painter: QPainter, box: Box, colour: str) -> None:
        k = self._set.scale
        x, y, width, height = box
        painter.fillRect(QRectF(x * k, y * k, width * k, height * k), QColor(colour))

    def _bullet(self, text: str, indent: float, style: Style, *, space_above: float) -> Piece:
        laid = self._set.lay(text, self._width - indent - 11.0, style)
        dot = self._set.lay("•", 10.0, style)

        def draw(painter: QPainter, top: float) -> None:
            dot.draw(painter, indent + 1.0, top)
            laid.draw(painter, indent + 11.0, top)

        return Piece(height=laid.height, draw=draw, space_above=space_above)

    def _notice(self, notice: Notice) -> Iterable[Piece]:
        """Return a signal word on its colour, then the lines, a bar of that colour beside them all."""
        ground, ink = SIGNAL_COLOURS[notice.signal.value]
        word_style = Style(size=8.3, bold=True, colour=ink)
        word = self._set.lay(notice.signal.value, 90.0, word_style)
        word_width = self._set.width(notice.signal.value, word_style) + 12.0

        def draw_word(painter: QPainter, top: float) -> None:
            self._fill(painter, (0.0, top, 4.0, word.height + 8.0), ground)
            self._fill(painter, (11.0, top + 2.0, word_width, word.height + 2.0), ground)
            word.draw(painter, 17.0, top + 3.0)

        yield Piece(height=word.height + 8.0, draw=draw_word, space_above=8.0, keep_next=True)
        style = SMALL if self._headings is _HEADINGS else self._body
        for place, line in enumerate(notice.lines):
            yield self._barred(self._bullet(line, 11.0, style, space_above=0.0), ground, keep_next=place == 0)

    def _barred(self, piece: Piece, colour: str, *, keep_next: bool = False) -> Piece:
        def draw(painter: QPainter, top: float) -> None:
            self._fill(painter, (0.0, top, 4.0, piece.height + 2.5), colour)
            piece.draw(painter, top)

        return Piece(height=piece.height + 2.5, draw=draw, keep_next=keep_next)

    def _facts(self, facts: Facts) -> Iterable[Piece]:
        label_width = facts.label_share * self._width
        for place, row in enumerate(facts.rows):
            size = self._fact_size
            label = self._set.lay(row.label, label_width - 8.0, Style(size=size, colour=SOFT_INK, leading=1.28))
            value_style = Style(size=min(size, 8.3), mono=True) if row.code else Style(size=size, leading=1.28)
            room = self._width - label_width
            shown = self._set.shortened(row.value, room, value_style) if facts.one_line else row.value
            value = self._set.lay(shown, room, value_style)
            yield self._fact(label, value, label_width, first=place == 0)

    def _fact(self, label: Laid, value: Laid, label_width: float, *, first: bool) -> Piece:
        pad = self._fact_pad
        height = max(label.height, value.height) + 2 * pad

        def draw(painter: QPainter, top: float) -> None:
            if first:
                self._fill(painter, (0.0, top, self._width, 0.5), HAIRLINE)
            label.draw(painter, 0.0, top + pad)
            value.draw(painter, label_width, top + pad)
            self._fill(painter, (0.0, top + height - 0.5, self._width, 0.5), HAIRLINE)

        return Piece(height=height, draw=draw, space_above=6.0 if first else 0.0, keep_next=first)

    def _key_figure(self, figure: KeyFigure) -> Piece:
        """Return the figure, large, its gives or takes with their words beside it."""
        big = Style(size=46.0, bold=True, leading=1.1)
        value = self._set.lay(figure.value, self._width, big)
        unit = self._set.lay(figure.unit, 80.0, Style(size=17.0, colour=SOFT_INK))
        unit_left = self._set.width(figure.value, big) + 6.0
        left = max(unit_left + self._set.width(figure.unit, Style(size=17.0)) + 26.0, 0.34 * self._width)
        beside = self._beside(figure, self._width - left)
        label = self._set.lay(figure.label, self._width, SOFT)
        side_height = sum(laid.height + room for laid, room, _ in beside)
        height = label.height + max(value.height, side_height) + 2.0

        def draw(painter: QPainter, top: float) -> None:
            label.draw(painter, 0.0, top)
            y = top + label.height
            value.draw(painter, 0.0, y)
            # The unit stands on the figure's baseline: 0.91 em below the top of a line of leading 1.1.
            unit.draw(painter, unit_left, y + 0.91 * 46.0 - 1.02 * 17.0)
            y += max((value.height - side_height) / 2, 0.0)
            for laid, room, indent in beside:
                y += room
                laid.draw(painter, left + indent, y)
                y += laid.height

        return Piece(height=height, draw=draw, space_above=7.0)

    def _beside(self, figure: KeyFigure, width: float) -> list[tuple[Laid, float, float]]:
        """Return the lines beside the figure, each with the room above it and how far in it stands [pt]."""
        bold = Style(size=13.0, bold=True, leading=1.34)
        found = [
            (self._set.lay(f"{band.give}  {band.holds_for}", width, bold), 0.0, 0.0) for band in figure.bands
        ]  # fmt: skip
        if not found:
            found = [(self._set.lay(figure.spread, width, bold), 0.0, 0.0)]
        return [*found, *((self._set.lay(line, width, SOFT), 1.5, 0.0) for line in figure.lines[:_LINES_BESIDE])]

    def _figure(self, figure: Figure) -> Piece:
        """Return a drawing with its caption; it moves to the next page as a whole."""
        renderer = QSvgRenderer(QByteArray(figure.svg.encode()))
        drawn_height = self._width * figure.height / figure.width
        caption = self._set.lay(figure.caption, self._width, self._caption)

        def draw(painter: QPainter, top: float) -> None:
            k = self._set.scale
            renderer.render(painter, QRectF(0.0, top * k, self._width * k, drawn_height * k))
            caption.draw(painter, 0.0, top + drawn_height + 1.0)

        return Piece(height=drawn_height + caption.height + 1.0, draw=draw, space_above=7.0)

    def _photo(self, photo: Photo) -> Iterable[Piece]:
        """Return a photo with its caption, as wide as the text and no higher than half a page; none that is broken."""
        image = QImage()
        image.loadFromData(photo.jpeg, "JPEG")
        if image.isNull():
            return
        width = min(self._width, _HIGHEST_PHOTO_PT * photo.width / photo.height)
        height = width * photo.height / photo.width
        caption = self._set.lay(photo.caption, self._width, SOFT)

        def draw(painter: QPainter, top: float) -> None:
            k = self._set.scale
            painter.drawImage(QRectF(0.0, top * k, width * k, height * k), image)
            caption.draw(painter, 0.0, top + height + 3.0)

        yield Piece(height=height + caption.height + 6.0, draw=draw, space_above=9.0)

    def _definitions(self, block: Definitions) -> Iterable[Piece]:
        for entry in block.entries:
            meaning = f"{entry.meaning} ({entry.source})" if entry.source else entry.meaning
            yield from self._lines(
                self._set.lay(f"{entry.word}: {meaning}", self._width, self._body, bold=len(entry.word))
            )

    def _lines(self, laid: Laid) -> Iterable[Piece]:
        """Return text line by line, so that it goes on in the next column; two lines at least stay together."""
        last = laid.lines - 1
        for number in range(laid.lines):
            yield Piece(
                height=laid.height / laid.lines,
                draw=partial(laid.draw_line, number),
                space_above=2.5 if number == 0 else 0.0,
                keep_next=number < last and number in (0, last - 1),
            )
