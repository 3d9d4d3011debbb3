"""A page's blocks gathered into bands: the first sheet across, what lies behind it in two columns where it fits."""

from collections.abc import Iterable

from benchapp.presentation.ground.page import NARROW_PX, Block, Figure, Heading, KeyFigure, Page, Paragraph, Table, Tone
from benchapp.report.pdf_columns import Band
from benchapp.report.pdf_pages import Piece
from benchapp.report.pdf_pieces import PieceMaker
from benchapp.report.pdf_type import Typesetter

_MOST_COLUMNS = 5
"""Columns of a table that a half of the paper's width holds; with two columns of text it does not."""


def bands_of(page: Page, setter: Typesetter, width: float, column: float) -> Iterable[Band]:
    """Return the bands of a page; width and column : of the text, and of one of its two columns [pt]."""
    sheet = PieceMaker(setter, width)
    first, behind = _parted(page.blocks)
    pieces = list(sheet.title(page))
    for block in first:
        pieces += sheet.pieces(block)
    yield Band(pieces=tuple(pieces))
    wide, narrow = PieceMaker(setter, width, behind=True), PieceMaker(setter, column, behind=True)
    for blocks, in_columns in _gathered(behind):
        maker = narrow if in_columns else wide
        made: list[Piece] = []
        for block in blocks:
            made += maker.pieces(block)
        opens = isinstance(blocks[0], Heading) and blocks[0].opens_sheet
        yield Band(pieces=tuple(made), in_columns=in_columns, opens_sheet=opens)


def _parted(blocks: tuple[Block, ...]) -> tuple[tuple[Block, ...], tuple[Block, ...]]:
    """Return the blocks before and from the first that opens a sheet."""
    at = next((place for place, block in enumerate(blocks) if _opens(block)), len(blocks))
    return blocks[:at], blocks[at:]


def _opens(block: Block) -> bool:
    return isinstance(block, Heading) and block.opens_sheet


def _gathered(blocks: Iterable[Block]) -> Iterable[tuple[list[Block], bool]]:
    """Return the blocks in turn as lists that go across or in columns; a heading goes with what follows it."""
    current: list[Block] = []
    headings: list[Block] = []
    in_columns = False
    for block in blocks:
        if isinstance(block, Heading):
            if block.opens_sheet and current + headings:
                yield [*current, *headings], in_columns
                current, headings = [], []
            headings.append(block)
            continue
        if current and _is_wide(block) is in_columns:
            yield current, in_columns
            current = []
        in_columns = not _is_wide(block)
        current += [*headings, block]
        headings = []
    if current + headings:
        yield [*current, *headings], in_columns


def _is_wide(block: Block) -> bool:
    match block:
        case Paragraph():
            return block.tone is Tone.LEAD
        case KeyFigure():
            return True
        case Figure():
            return block.width > NARROW_PX
        case Table():
            texts = sum(not column.numeric for column in block.columns)
            return len(block.columns) > _MOST_COLUMNS or texts > 1 or block.splits
        case _:
            return False
