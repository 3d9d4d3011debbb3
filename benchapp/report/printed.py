"""What of a page goes on paper: everything but the rows of every flip, unless these are asked for."""

from dataclasses import replace

from benchapp.presentation.ground.numbers import counted
from benchapp.presentation.ground.page import Block, Figure, Page, Paragraph, Table, Tone


def printed(page: Page, *, all_flips: bool) -> Page:
    """Return the page for paper; a table left away is named, with where its rows are.

    A row for every flip, stroke or position makes many sheets that nobody reads: 50 000 flips took 3 GB to lay out.
    """
    if all_flips:
        return page
    return replace(page, blocks=tuple(_named(block) for block in page.blocks if not _is_second_look(block)))


def _is_second_look(block: Block) -> bool:
    return isinstance(block, Figure) and block.by_request


def _named(block: Block) -> Block:
    if not isinstance(block, Table) or not block.by_request:
        return block
    rows = counted(len(block.rows), "row")
    return Paragraph(
        text=f"{block.caption}: {rows} in report.html and in the CSV files; with --all-flips they are printed too.",
        tone=Tone.SOFT,
    )
