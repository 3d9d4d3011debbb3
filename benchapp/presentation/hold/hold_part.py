"""What a page says of a hold: the figure, its strip with its bars, and its tables."""

from collections.abc import Iterable, Sequence

from benchapp.presentation.ground.numbers import (
    DASH,
    NBSP,
    at_places,
    counted,
    digits,
    duration,
    exists,
    grouped,
)
from benchapp.presentation.ground.output_part import output_part
from benchapp.presentation.ground.page import (
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
from benchapp.presentation.ground.table_making import number_cell, with_reasons
from benchapp.presentation.ground.too_few import is_too_few, too_few_figure
from benchapp.presentation.hold.hold import hold
from benchapp.presentation.hold.hold_details import hold_details
from benchapp.presentation.hold.hold_verdict import floor_words, spread_words, wander_pct
from benchapp.records.findings import RunFindings
from benchapp.records.method import FEWEST_HELD_PULSES
from benchapp.records.sweep_findings import DistinctValues, Steadiness

HOLD_DEFINITION = (
    "Spread: the standard deviation of the servo pulse while the stick and everything else was left alone; over "
    "several positions pooled, each about its own mean. Below twice the probe's own spread it is called steadier than "
    "the probe can tell."
)
_MOST_VALUES = 60


def hold_figure(run: RunFindings, found: Steadiness, *, key: str, practice: bool) -> tuple[Block, ...]:
    """Return the figure, large, with the lines that say what it stands for."""
    if is_too_few(run):
        what, lines = "Servo pulses", (f"{_held(found)}.",)
        return too_few_figure(what, found.pulses, FEWEST_HELD_PULSES, "pulses", lines, key=key, practice=practice)
    mark = f"{PRACTICE_MARK} · " if practice else ""
    told, beside = _figure_words(found)
    number, _, unit = told.partition(NBSP)
    what = (
        "Spread of the servo pulse; the stick moved"
        if found.stick_moved
        else "Spread of the servo pulse while nothing was touched"
    )
    figure = KeyFigure(
        label=f"{mark}{what}",
        value=number,
        unit=unit or "µs",
        spread=beside,
        lines=tuple(_figure_lines(found)),
    )
    return (Heading(text="The figure", key=f"{key}figure"), figure)


def _figure_words(found: Steadiness) -> tuple[str, str]:
    """Return the figure and what stands beside it."""
    if not exists(found.sd_us):
        return DASH, "no figure: too few servo pulses"
    if found.told_from_probe is False:
        return digits(found.sd_us, 2, "µs"), "steadier than the probe can tell"
    # Two digits large: all that the limits leave would not fit beside the drawing; the limits below have them.
    return digits(found.sd_us, 2, "µs"), spread_words(found).partition(", ")[2]


def _held(found: Steadiness) -> str:
    return f"{counted(found.pulses, 'servo pulse')} in {duration(found.held_s)}"


def _figure_lines(found: Steadiness) -> Iterable[str]:
    held = _held(found)
    longest = digits(found.peak_to_peak_us, 2, "µs")
    yield f"{held}; the longest less the shortest was {longest} in that time." if found.pulses else f"{held}."
    if exists(found.floor_us):
        yield f"The probe's own spread is {floor_words(found)}: it would show as much of pulses that are all alike."


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
        Column(title="Held", unit="s", numeric=True),
        Column(title="SD", unit="µs", numeric=True),
        Column(title="Longest less shortest", unit="µs", numeric=True, share=1.4),
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
            number_cell(position.held_s, 1, few),
            number_cell(position.sd_us, 3, few),
            number_cell(position.peak_to_peak_us, 3, few),
            number_cell(position.drift_us_per_min, 2, few),
        )
        for number, position in enumerate(found.positions, start=1)
    ]
    _, of = wander_pct(found, others)
    note = (
        f"SD: standard deviation, pooled over the positions in the figures above. Percentages above are of {of}. "
        "Longest less shortest grows with the time held."
    )
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
        f"{key}values",
        "Different values, and how often each came",
        columns,
        rows,
        notes=notes,
        splits=len(rows) > 12,
        by_request=len(rows) > 12,
    )
