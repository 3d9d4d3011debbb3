"""Every text of a page, flattened for tests."""

import html
import re
from collections.abc import Iterator

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
    Table,
)


def texts(page: Page) -> Iterator[str]:
    yield from (page.title, page.subtitle, page.session)
    for block in page.blocks:
        yield from block_texts(block)


def block_texts(block: Block) -> list[str]:
    found: list[str] = []
    match block:
        case Heading() | Paragraph():
            found = [block.text]
        case Bullets():
            found = list(block.items)
        case Notice():
            found = list(block.lines)
        case Facts():
            found = [block.caption, *(text for row in block.rows for text in (row.label, row.value))]
        case KeyFigure():
            found = [block.label, f"{block.value} {block.unit}", block.spread, *block.lines]
        case Figure():
            found = [block.alt, block.caption, *svg_texts(block.svg)]
        case Table():
            titles = [f"{column.title} {column.unit}" for column in block.columns]
            found = [block.caption, *block.notes, *titles, *(cell.text for row in block.rows for cell in row)]
        case Definitions():
            found = [text for entry in block.entries for text in (entry.word, entry.meaning, entry.source)]
    return found


def svg_texts(svg: str) -> list[str]:
    return [html.unescape(text) for text in re.findall(r"<text[^>]*>([^<]*)</text>", svg)]


def keys(page: Page) -> list[str]:
    return [block.key for block in page.blocks if isinstance(block, Heading)]


def tables(page: Page) -> dict[str, Table]:
    return {block.key: block for block in page.blocks if isinstance(block, Table)}


def figures(page: Page) -> dict[str, Figure]:
    return {block.key: block for block in page.blocks if isinstance(block, Figure)}


def whole_text(page: Page) -> str:
    return "\n".join(texts(page)).replace("\u00a0", " ")
