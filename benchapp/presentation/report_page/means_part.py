"""What a run's figure means, what to keep in mind about it, and how it is to be read: the first of what lies behind."""

from collections.abc import Sequence
from dataclasses import replace

from benchapp.presentation.ground.page import Block, Bullets, Heading, KeyFigure, Paragraph, Tone
from benchapp.presentation.ground.wording import RULES
from benchapp.presentation.report_page.first_sheet import on_sheet
from benchapp.presentation.report_page.verdict import verdict_part
from benchapp.presentation.shown import shown_test
from benchapp.records.findings import RunFindings


def means_part(
    run: RunFindings, *, key: str, practice: bool, others: Sequence[RunFindings] = (), opens_sheet: bool = True
) -> tuple[Block, ...]:
    """Return the verdict in full with what it means; others: the session's other runs."""
    blocks: list[Block] = [Heading(text="What it means", key=f"{key}means", opens_sheet=opens_sheet)]
    for block in verdict_part(run, key=key, others=others)[1:]:
        blocks.append(replace(block, tone=Tone.BODY) if isinstance(block, Paragraph) else block)
    found = shown_test(run.test).figure(run, run.result, key=key, practice=practice)
    lines = tuple(line for block in found if isinstance(block, KeyFigure) for line in _lines(block, run))
    if lines:
        blocks.append(Heading(text="How to read the figure", key=f"{key}reading", level=3))
        blocks.append(Bullets(items=lines))
    return tuple(blocks)


def _lines(figure: KeyFigure, run: RunFindings) -> tuple[str, ...]:
    """Return the lines of a figure that are neither on the first sheet nor among the definitions."""
    lines = figure.lines[1:] if len(figure.bands) > 1 else figure.lines  # the second band stands on the sheet itself
    said = (*on_sheet(figure, run).lines, *RULES.values())
    return tuple(line for line in lines if line not in said)
