"""The blocks of a page turned into pieces that can be drawn on paper."""

from collections.abc import Iterable, Sequence

from PySide6.QtCore import QByteArray, QRectF
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtSvg import QSvgRenderer

from benchapp.presentation.ground.colours import ACTION, CARD, HAIRLINE, SIGNAL_COLOURS, SOFT_INK
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
LEAD = Style(size=11.0, leading=1.36)
_HIGHEST_PHOTO_PT = 320.0
Box = tuple[float, float, float, float]
"""Left, top, width and height [pt]."""
_TONES = {Tone.BODY: BODY, Tone.LEAD: LEAD, Tone.SOFT: SOFT}
_HEADINGS = {2: (Style(size=14.0, bold=True, leading=1.3), 22.0), 3: (Style(size=10.0, bold=True), 13.0)}


class PieceMaker:
    """Turns blocks into pieces for one device and one text width [pt]."""

    def __init__(self, setter: Typesetter, width: float) -> None:
        self._set = setter
        self._width = width

    def title(self, page: Page) -> Iterable[Piece]:
        """Return the head of the document."""
        yield self._text("Thumb to Horn – test report", SOFT, keep_next=True)
        yield self._text(page.title, Style(size=20.0, bold=True, leading=1.25), keep_next=True)
        yield self._text(page.subtitle, SOFT, space_above=1.0, keep_next=True)
        yield Piece(height=8.0, draw=self._rule)

    def pieces(self, block: Block) -> Iterable[Piece]:
        """Return the pieces of one block, from the top down."""
        found: Iterable[Piece]
        match block:
            case Heading():
                style, room = _HEADINGS[3 if block.level >= 3 else 2]
                found = (self._text(block.text, style, space_above=room, keep_next=True),)
            case Paragraph():
                found = (self._text(block.text, _TONES[block.tone], space_above=5.0),)
            case Bullets():
                found = (self._bullet(item, 0.0, BODY, space_above=3.0) for item in block.items)
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
        for line in notice.lines:
            yield self._barred(self._bullet(line, 11.0, SMALL, space_above=0.0), ground)

    def _barred(self, piece: Piece, colour: str) -> Piece:
        def draw(painter: QPainter, top: float) -> None:
            self._fill(painter, (0.0, top, 4.0, piece.height + 2.5), colour)
            piece.draw(painter, top)

        return Piece(height=piece.height + 2.5, draw=draw)

    def _facts(self, facts: Facts) -> Iterable[Piece]:
        label_width = facts.label_share * self._width
        for place, row in enumerate(facts.rows):
            label = self._set.lay(row.label, label_width - 12.0, Style(size=9.0, colour=SOFT_INK))
            value_style = Style(size=8.3, mono=True) if row.code else Style(size=9.0)
            value = self._set.lay(row.value, self._width - label_width, value_style)
            yield self._fact(label, value, label_width, first=place == 0)

    def _fact(self, label: Laid, value: Laid, label_width: float, *, first: bool) -> Piece:
        height = max(label.height, value.height) + 6.0

        def draw(painter: QPainter, top: float) -> None:
            if first:
                self._fill(painter, (0.0, top, self._width, 0.5), HAIRLINE)
            label.draw(painter, 0.0, top + 3.0)
            value.draw(painter, label_width, top + 3.0)
            self._fill(painter, (0.0, top + height - 0.5, self._width, 0.5), HAIRLINE)

        return Piece(height=height, draw=draw, space_above=6.0 if first else 0.0, keep_next=first)

    def _key_figure(self, figure: KeyFigure) -> Piece:
        """Return the figure on a white card with a bar of the action colour."""
        inner = self._width - 36.0
        big = Style(size=40.0, bold=True, leading=1.15)
        value = self._set.lay(figure.value, inner, big)
        unit = self._set.lay(figure.unit, 80.0, Style(size=15.0))
        unit_left = 18.0 + self._set.width(figure.value, big) + 7.0
        stack = [
            (self._set.lay(figure.label, inner, SOFT), 12.0),
            (value, 0.0),
            (self._set.lay(figure.spread, inner, Style(size=13.0)), 0.0),
            *((self._set.lay(line, inner, SOFT), 2.5 if place else 8.0) for place, line in enumerate(figure.lines)),
        ]
        height = sum(laid.height + room for laid, room in stack) + 12.0

        def draw(painter: QPainter, top: float) -> None:
            self._card(painter, top, height)
            self._fill(painter, (0.0, top, 3.0, height), ACTION)
            y = top
            for laid, room in stack:
                y += room
                laid.draw(painter, 18.0, y)
                if laid is value:
                    # The unit stands on the figure's baseline: 0.93 em below the top of a line of leading 1.15.
                    unit.draw(painter, unit_left, y + 0.93 * 40.0 - 1.02 * 15.0)
                y += laid.height

        return Piece(height=height, draw=draw, space_above=8.0)

    def _card(self, painter: QPainter, top: float, height: float) -> None:
        self._fill(painter, (0.0, top, self._width, height), HAIRLINE)
        self._fill(painter, (0.5, top + 0.5, self._width - 1.0, height - 1.0), CARD)

    def _figure(self, figure: Figure) -> Piece:
        """Return a drawing with its caption; it moves to the next page as a whole."""
        renderer = QSvgRenderer(QByteArray(figure.svg.encode()))
        inner = self._width - 16.0
        drawn_height = inner * figure.height / figure.width
        caption = self._set.lay(figure.caption, inner - 4.0, SOFT)
        height = drawn_height + caption.height + 24.0

        def draw(painter: QPainter, top: float) -> None:
            k = self._set.scale
            self._card(painter, top, height)
            renderer.render(painter, QRectF(8.0 * k, (top + 8.0) * k, inner * k, drawn_height * k))
            self._fill(painter, (8.0, top + drawn_height + 11.0, inner, 0.5), HAIRLINE)
            caption.draw(painter, 10.0, top + drawn_height + 15.0)

        return Piece(height=height, draw=draw, space_above=9.0)

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
            word = self._set.lay(entry.word, self._width, Style(size=8.8, bold=True))
            yield self._stack([word, self._set.lay(meaning, self._width, Style(size=8.6))])

    def _stack(self, parts: Sequence[Laid]) -> Piece:
        def draw(painter: QPainter, top: float) -> None:
            y = top
            for laid in parts:
                laid.draw(painter, 0.0, y)
                y += laid.height

        return Piece(height=sum(laid.height for laid in parts), draw=draw, space_above=6.0)
