"""A page cut at its headings, so that a screen can put one run's parts first."""

from collections.abc import Sequence
from dataclasses import dataclass

from benchapp.presentation.ground.page import Block, Heading, Page

_OF_A_RUN = ("verdict", "figure", "means", "plots", "output", "tables", "trials", "left-out")


@dataclass(frozen=True, kw_only=True, slots=True)
class Part:
    """One part of a page: its heading's key without the run, and its blocks, heading first."""

    key: str
    run: int | None
    blocks: tuple[Block, ...]


def parts(page: Page) -> tuple[Part, ...]:
    """Return the parts of a page, in its order; those of a run say which."""
    found: list[Part] = []
    current: list[Block] = []
    for block in page.blocks:
        if isinstance(block, Heading) and block.level <= 2 and current:
            found.append(_part(current))
            current = []
        current.append(block)
    if current:
        found.append(_part(current))
    return tuple(found)


def _part(blocks: Sequence[Block]) -> Part:
    head = blocks[0]
    key = head.key if isinstance(head, Heading) else ""
    run: int | None = None
    if key.startswith("run-"):
        number, _, rest = key.removeprefix("run-").partition("-")
        run, key = (int(number), rest) if number.isdigit() else (None, key)
    return Part(key=key, run=run, blocks=tuple(blocks))


def of_run(page: Page, run: int) -> dict[str, tuple[Block, ...]]:
    """Return the parts that belong to one run, by key, in the page's order."""
    return {part.key: part.blocks for part in parts(page) if part.run in (None, run) and part.key in _OF_A_RUN}


def shared(page: Page) -> dict[str, tuple[Block, ...]]:
    """Return the parts that belong to the whole session, by key, in the page's order."""
    return {part.key: part.blocks for part in parts(page) if part.run is None and part.key not in _OF_A_RUN}
