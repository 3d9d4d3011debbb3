"""What Findings shows of one run: a first screen, and behind it five parts, statistics' names only in the last."""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TypeVar

from benchapp.presentation.ground.human_ruler import Timed
from benchapp.presentation.ground.page import Block, Bullets, Facts, Figure, Heading, KeyFigure, Page, Paragraph, Table
from benchapp.presentation.report_page.first_sheet import put_back_state, sheet_verdict
from benchapp.presentation.report_page.page_parts import of_run, shared
from benchapp.presentation.shown import shown_test
from benchapp.records.findings import RunFindings
from benchapp.records.named_tests import times_flips
from benchapp.records.run import SessionFacts

WARNING = "Propeller or rotor off before a flight battery goes in."
FOOT = "A bench figure is no statement that anything is fit to fly."
_STATISTICS = re.compile(
    r"standard deviation|standard uncertaint|variance|Rayleigh|Kuiper|Clopper|xpanded uncertainty|coverage|"
    r"egrees of freedom|\bSD\b|Student|interval|percentile|budget",
)
_DRAWN_LIVE = "trains"
"""One flip looked at closely: the window draws the one that was chosen."""
E = TypeVar("E")


@dataclass(frozen=True, kw_only=True, slots=True)
class Tab:
    """One of the parts behind the first screen."""

    key: str
    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class FirstView:
    """What the first screen holds; figure and drawing are None where a run has none, timed where it has no time."""

    verdict: str
    figure: KeyFigure | None
    drawing: Figure | None
    timed: Timed | None
    foot: str


def first_view(facts: SessionFacts, run: RunFindings, page: Page) -> FirstView:
    """Return the first screen of a run."""
    test = shown_test(run.test)
    own = of_run(page, run.run)
    figure = next((block for block in own.get("figure", ()) if isinstance(block, KeyFigure)), None)
    return FirstView(
        verdict=sheet_verdict(run),
        figure=None if figure is None else replace(figure, label="", lines=figure.lines[:1]),
        drawing=test.first_drawing(run.result, practice=page.practice) if figure is not None else None,
        timed=test.timed(run.result),
        foot=f"{FOOT} Put it back: {put_back_state(facts).removeprefix('put back: ')}.",
    )


def tabs(page: Page, run: RunFindings) -> tuple[Tab, ...]:
    """Return the five parts behind the first screen of a run, each with its blocks in the page's order."""
    own, common = of_run(page, run.run), shared(page)
    plots, tables = own.get("plots", ()), own.get("tables", ())
    means, reading = _parted(own.get("means", ()), "reading")
    said, said_exactly = _sorted_out(means)
    signals, signals_exactly = _sorted_out(own.get("output", ()))
    rows = [block for block in tables if isinstance(block, Table) and block.by_request]
    stages, sure = _tables(tables, "stages"), _tables(tables, "certainty")
    left = [block for block in tables if block not in (*rows, *stages, *sure)]
    rest = "Every flip" if times_flips(run.test) else "Every reading"
    title = next((block.text for block in plots if isinstance(block, Heading)), rest)
    drawn = [block for block in plots[1:] if not (isinstance(block, Figure) and block.key == _DRAWN_LIVE)]
    return (
        Tab(key="every", title=title, blocks=(*drawn, *own.get("left-out", ()), *rows)),
        Tab(key="time", title="Where the time goes", blocks=_titled((*stages, *signals))),
        Tab(key="sure", title="How sure", blocks=_titled((*said[1:], *sure))),
        Tab(key="tested", title="What was tested", blocks=_of(common, "short", "state", "tested", "cautions")),
        Tab(
            key="computed",
            title="How it was computed",
            blocks=_titled(
                (*reading, *said_exactly[1:], *signals_exactly, *left, *_of(common, "definitions", "evidence"))
            ),
        ),
    )


def _of(parts: Mapping[str, Sequence[Block]], *keys: str) -> tuple[Block, ...]:
    return tuple(block for key in keys for block in parts.get(key, ()))


def _tables(blocks: Sequence[Block], key: str) -> list[Block]:
    return [block for block in blocks if isinstance(block, Table) and block.key.endswith(key)]


def _parted(blocks: Sequence[Block], key: str) -> tuple[Sequence[Block], Sequence[Block]]:
    """Return the blocks before and from the heading of that key."""
    at = next((i for i, b in enumerate(blocks) if isinstance(b, Heading) and b.key.endswith(key)), len(blocks))
    return blocks[:at], blocks[at:]


def _sorted_out(blocks: Sequence[Block]) -> tuple[list[Block], list[Block]]:
    """Return the blocks twice: without what names statistics, and that alone; headings stand in both."""
    plain: list[Block] = []
    exact: list[Block] = []
    for block in blocks:
        match block:
            case Bullets():
                without, names = _halves(block.items, lambda item: item)
                plain += [Bullets(items=without)] if without else []
                exact += [Bullets(items=names)] if names else []
            case Facts():
                kept, told = _halves(block.rows, lambda row: f"{row.label} {row.value}")
                plain += [replace(block, rows=kept)] if kept else []
                exact += [replace(block, rows=told)] if told else []
            case Heading():
                plain.append(block)
                exact.append(block)
            case Paragraph():
                (exact if _STATISTICS.search(block.text) else plain).append(block)
            case _:
                plain.append(block)
    return plain, exact


def _halves(entries: Iterable[E], words: Callable[[E], str]) -> tuple[tuple[E, ...], tuple[E, ...]]:
    some = tuple(entries)
    names = tuple(entry for entry in some if _STATISTICS.search(words(entry)))
    return tuple(entry for entry in some if entry not in names), names


def _titled(blocks: Sequence[Block]) -> tuple[Block, ...]:
    """Return the blocks without headings that have nothing below them."""
    kept = []
    for block, after in pairwise((*blocks, None)):
        bare = after is None or (
            isinstance(after, Heading) and isinstance(block, Heading) and after.level <= block.level
        )
        if not (isinstance(block, Heading) and bare) and block is not None:
            kept.append(block)
    return tuple(kept)


def _ends(heading: Heading, after: Block | None) -> bool:
    """Return whether nothing stands below a heading: what comes after it is another of its level or above."""
    return after is None or (isinstance(after, Heading) and after.level <= heading.level)
