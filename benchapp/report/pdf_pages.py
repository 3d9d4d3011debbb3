"""Pieces of a document laid on pages: headings stay with what follows, table heads come again.

Our own paging rather than a text document's: headings stay with what follows, tables repeat their heads, and no text
can be read as markup. HTML and PDF come from one Page.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Piece:
    """Something drawn in one go. Lengths in pt.

    space_above : room before it, dropped at the top of a page
    keep_next   : it may not be the last on its page while the next piece would still go with it
    again       : drawn first on every page that would begin with this piece (a table's head)
    draw        : called with the painter and the height of its top on the page
    """

    height: float
    draw: Callable[[Any, float], None]
    space_above: float = 0.0
    keep_next: bool = False
    again: "Piece | None" = None


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Placed:
    """A piece and where its top left corner is, from that of the page's text area [pt]."""

    piece: Piece
    top: float
    left: float = 0.0


def laid_on_pages(pieces: Iterable[Piece], page_height: float, *, used: float = 0.0) -> list[list[Placed]]:
    """Return the pages, each with its pieces from the top down. used : how much of the first is taken already [pt].

    A chain of pieces kept together moves to a new page as a whole where it fits on one; a longer chain is laid as it
    comes. No pieces give one empty page.
    """
    pages: list[list[Placed]] = [[]]
    for chain in _chains(list(pieces)):
        whole = _stacked(chain, at_top=False)
        if used > 0.0 and used + whole > page_height and _stacked(chain, at_top=True) <= page_height:
            pages.append([])
            used = 0.0
        for piece in chain:
            used = _lay(piece, pages, used, page_height)
    return pages


def _lay(piece: Piece, pages: list[list[Placed]], used: float, page_height: float) -> float:
    if used > 0.0 and used + piece.space_above + piece.height > page_height:
        pages.append([])
        used = 0.0
    if used == 0.0 and piece.again is not None:
        pages[-1].append(Placed(piece=piece.again, top=0.0))
        used = piece.again.height
    top = used + piece.space_above if used > 0.0 else 0.0
    pages[-1].append(Placed(piece=piece, top=top))
    return top + piece.height


def _chains(pieces: Sequence[Piece]) -> Iterable[list[Piece]]:
    chain: list[Piece] = []
    for piece in pieces:
        chain.append(piece)
        if not piece.keep_next:
            yield chain
            chain = []
    if chain:
        yield chain


def _stacked(chain: Sequence[Piece], *, at_top: bool) -> float:
    again = chain[0].again
    head = again.height if at_top and again is not None else 0.0
    spaces = sum(piece.space_above for piece in chain) - (chain[0].space_above if at_top and not head else 0.0)
    return head + spaces + sum(piece.height for piece in chain)
