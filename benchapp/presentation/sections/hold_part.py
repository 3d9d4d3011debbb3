"""What a page says of a hold: the figure, its strip with its bars, and its tables."""

from collections.abc import Sequence

from benchapp.presentation.figures.hold import hold
from benchapp.presentation.hold_details import hold_details
from benchapp.presentation.hold_verdict import wander_pct
from benchapp.presentation.numbers import (
    NBSP,
    at_places,
    counted,
    digits,
    duration,
    exists,
    grouped,
)
from benchapp.presentation.page import (
    PRACTICE_MARK,
    Block,
    Cell,
    Column,
    Facts,
    Heading,
    KeyFigure,
    Paragraph,
    Table,
    Tone,
)
from benchapp.presentation.sections.output_part import output_part
from benchapp.presentation.sections.table_making import number_cell, with_reasons
from benchapp.presentation.sections.too_few import is_too_few, too_few_figure
from benchapp.records.findings import RunFindings
from benchapp.records.sweep_findings import DistinctValues, Steadiness

HOLD_DEFINITION = (
    "Wander: the longest servo pulse less the shortest while the stick and everything else was left alone; with "
    "several "
    "positions, the largest of theirs."
)
_MOST_VALUES = 60


def hold_figure(run: RunFindings, found: Steadiness, *, key: str, practice: bool) -> tuple[Block, ...]:
    """Return the figure, large, with the lines that say what it stands for."""
    lines = (f"{counted(found.pulses, 'servo pulse')} in {duration(found.held_s)}.",)
    if is_too_few(run):
        return too_few_figure(run, lines, key=key, practice=practice)
    mark = f"{PRACTICE_MARK} · " if practice else ""
    number, _, unit = digits(found.peak_to_peak_us, 2, "µs").partition(NBSP)
    sd = (
        f"standard deviation {digits(found.sd_us, 2, 'µs')}"
        if exists(found.sd_us)
        else "no figure: too few servo pulses"
    )
    what = (
        "Longest less shortest servo pulse; the stick moved"
        if found.stick_moved
        else "Wander of the servo pulse while nothing was touched"
    )
    figure = KeyFigure(
        label=f"{mark}{what}",
        value=number,
        unit=unit or "µs",
        spread=sd,
        lines=lines,
    )
    return (Heading(text="The figure", key=f"{key}figure"), figure)


def hold_plots(found: Steadiness, *, key: str, practice: bool) -> tuple[Block, ...]:
    """Return the strip of every pulse with its bars, or why there is none."""
    drawn = hold(found, practice=practice)
    heading = Heading(text="Every servo pulse", key=f"{key}plots")
    return (heading, drawn or Paragraph(text="Nothing to draw: too few servo pulses came.", tone=Tone.SOFT))


def hold_tables(run: RunFindings, found: Steadiness, others: Sequence[RunFindings], *, key: str) -> tuple[Block, ...]:
    """Return the tables of a hold."""
    caption = "How steady it was"
    blocks: list[Block] = [
        Heading(text="Tables", key=f"{key}tables"),
        Heading(text=caption, key=f"{key}details", level=3),
        Facts(caption=caption, rows=hold_details(found, others), label_share=0.36),
    ]
    if len(found.positions) > 1:
        blocks.append(held_table(found, others, key=key))
    if found.values is not None:
        blocks.append(values_table(found.values, key=key))
    return (*blocks, *output_part(run, key=key))


def held_table(found: Steadiness, others: Sequence[RunFindings], *, key: str) -> Table:
    """Return one row a position held."""
    columns = (
        Column(title="Position", unit="no.", numeric=True, share=0.8),
        Column(title="From", unit="s", numeric=True),
        Column(title="Stick", unit="V", numeric=True),
        Column(title="Servo pulses", unit="count", numeric=True),
        Column(title="Middle value", unit="µs", numeric=True),
        Column(title="Wander", unit="µs", numeric=True),
        Column(title="SD", unit="µs", numeric=True),
        Column(title="Drift", unit="µs/min", numeric=True),
    )
    few = "too few servo pulses"
    rows = [
        (
            Cell(text=str(number)),
            Cell(text=at_places(position.from_ns / 1e9, 1)),
            number_cell(position.at_x, 3, "no voltage lead was on the stick"),
            Cell(text=grouped(position.pulses)),
            number_cell(position.median_us, 2, few),
            number_cell(position.peak_to_peak_us, 3, few),
            number_cell(position.sd_us, 3, few),
            number_cell(position.drift_us_per_min, 2, few),
        )
        for number, position in enumerate(found.positions, start=1)
    ]
    _, of = wander_pct(found, others)
    note = f"SD: standard deviation, pooled over the positions in the figures above. Percentages above are of {of}."
    return with_reasons(f"{key}held", "Every position held", columns, rows, notes=(note,))


def values_table(values: DistinctValues, *, key: str) -> Table:
    """Return the values that came and how often, the commonest ones where there are many."""
    columns = (
        Column(title="Servo pulse", unit="µs", numeric=True),
        Column(title="Came", unit="count", numeric=True),
        Column(title="Share", unit="%", numeric=True),
    )
    total = int(values.counts.sum())
    pairs = sorted(zip(values.us.tolist(), values.counts.tolist(), strict=True), key=lambda pair: -pair[1])
    shown = sorted(pairs[:_MOST_VALUES])
    rows = [
        (Cell(text=at_places(us, 3)), Cell(text=grouped(count)), Cell(text=at_places(100.0 * count / total, 1)))
        for us, count in shown
    ]
    left = len(pairs) - len(shown)
    notes = (f"The {_MOST_VALUES} commonest of {counted(len(pairs), 'value')}.",) if left else ()
    return with_reasons(
        f"{key}values", "Different values, and how often each came", columns, rows, notes=notes, splits=len(rows) > 12
    )
